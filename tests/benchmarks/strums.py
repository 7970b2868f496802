"""Score the reading of single strums, and print one table.

    python -m tests.benchmarks.strums             full size, some ten minutes on two slow cores
    python -m tests.benchmarks.strums --quick     20 cases a row
    python -m tests.benchmarks.strums --rows "no chord|power" --json rows.json

Everything is made from seeds. ``shared/recordings`` must lie beside the checkout (it is measured only, never copied);
``fluidsynth``, ``fluid-soundfont-gm`` and ``espeak-ng`` are Debian packages.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.benchmarks.rows import ROWS, Row
from tests.benchmarks.scores import Scores
from tests.benchmarks.table import Scored, render_report, to_json

CHUNK = 25
QUICK_N = 20
NAIVE_N = 75  # cases a row that are also put to the naive way, which is slow


def _score_chunk(row_number: int, seed: int, numbers: Sequence[int], ear: str, naive: bool) -> list[Scored]:
    import warnings

    from tests.benchmarks.naive import answer_naively
    from tests.benchmarks.scores import score_case
    from tests.benchmarks.system import CRASHED, Answer, answer_case

    row = ROWS[row_number]
    scored = []
    for number, case in zip(numbers, row.make(row.title, seed, numbers), strict=False):
        try:
            answer = answer_case(case, ear=ear)
        except ImportError:
            raise
        except Exception as error:  # a crash is a wrong answer, counted and printed, not the end of the run
            answer = Answer(refused=f"{CRASHED}{error!r}")
        triads = qualities = Scores()
        if naive and number < NAIVE_N and row.group in ("strums", "power", "recorded"):
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                triads, qualities = (score_case(case, one) for one in answer_naively(case))
        scored.append(Scored(case.name, case.truth, answer, score_case(case, answer), triads, qualities))
    return scored


def score_rows(
    rows: Sequence[Row], *, seed: int, n: int | None, jobs: int, ear: str = "", naive: bool = True
) -> dict[str, list[Scored]]:
    """Make, read and score every case of some rows.

    Parameters
    ----------
    rows : sequence of Row
    seed : int
    n : int or None
        Cases a row; None for each row's own number.
    jobs : int
        Processes.
    ear : str
        Another ear than the usual one.
    naive : bool
        Whether the naive way is run beside it.

    Returns
    -------
    dict of str to list of Scored
    """
    import joblib

    tasks = [
        (row.title, ROWS.index(row), list(range(start, min(start + CHUNK, size))))
        for row in rows
        for size in [row.n if n is None else min(n, row.n)]
        for start in range(0, size, CHUNK)
    ]
    runs: Any = joblib.Parallel(n_jobs=jobs, return_as="generator")(
        joblib.delayed(_score_chunk)(row_number, seed, numbers, ear, naive) for _, row_number, numbers in tasks
    )
    results: dict[str, list[Scored]] = {row.title: [] for row in rows}
    for place, ((title, _, _), scored) in enumerate(zip(tasks, runs, strict=True), start=1):
        results[title] += scored
        if sys.stderr.isatty():
            print(f"\r{place}/{len(tasks)} {title:60.60}", end="", file=sys.stderr, flush=True)
    return results


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--quick", action="store_true", help=f"{QUICK_N} cases a row")
    parser.add_argument("--n", type=int, help="cases a row")
    parser.add_argument("--rows", default="", metavar="REGEX", help="only rows whose title matches")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--ear", default="", help="name of another ear")
    parser.add_argument("--without-naive", action="store_true")
    parser.add_argument("--json", type=Path, help="write every case's answer and scores, one a line")
    given = parser.parse_args()
    rows = [row for row in ROWS if re.search(given.rows, row.title)]
    started = time.time()
    results = score_rows(
        rows,
        seed=given.seed,
        n=QUICK_N if given.quick else given.n,
        jobs=given.jobs,
        ear=given.ear,
        naive=not given.without_naive,
    )
    if given.json:
        given.json.write_text("".join(json.dumps(line) + "\n" for line in to_json(results)), encoding="utf-8")
    print(render_report(rows, results))
    print(f"\nSeed {given.seed}, {sum(map(len, results.values()))} cases, {time.time() - started:.0f} s.")


if __name__ == "__main__":
    main()
