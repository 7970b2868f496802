"""``python -m tests.fuzz``: try hostile input of every kind and say what did not hold.

Options: ``--quick`` a short run (under a minute), ``--only KIND[:NUMBER]``, ``--share 0.1`` a tenth of the full counts,
``--first NUMBER`` where to begin, ``--keep FOLDER`` where to put the inputs that were found, ``--log FILE`` where to
write each piece that is done: a run that was stopped goes on from there, and the last lines count all of them.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

KINDS: dict[str, tuple[int, int, int]] = {  # how many in the full run, in the quick one, in a piece
    "recordings": (10_000, 40, 250),
    "words": (10_000, 1000, 2500),
    "documents": (5_000, 80, 250),
    "kills": (500, 6, 100),
}
KEPT = Path(__file__).with_name("kept_seeds.txt")
ROOT = Path(__file__).parents[2]


@dataclass(slots=True)
class Piece:
    """What came of a row of inputs of one kind.

    Parameters
    ----------
    kind : str
    first, count : int
        Their numbers.
    refused : int
        In a sentence.
    slowest_s, largest_mb : float
        CPU of the slowest, with its children; the largest process.
    found : list of str
        What did not hold.
    """

    kind: str
    first: int
    count: int
    refused: int = 0
    slowest_s: float = 0.0
    largest_mb: float = 0.0
    found: list[str] = field(default_factory=list)


def main() -> int:
    """Run what was asked for, on all cores; the status is 1 where something did not hold."""
    options = _parse_options()
    kind, _, number = (options.only or "").partition(":")
    names = [name for name in KINDS if kind in {"", name}]
    tasks = [
        (name, first, count)
        for name in names
        for first, count in ([(int(number), 1)] if number else _list_rows(name, options))
    ]
    done = _read_log(options.log)
    pool = ThreadPoolExecutor(os.cpu_count())  # a piece is a process of its own
    pieces: dict[str, list[Piece]] = {name: [] for name in names}
    try:
        for piece in pool.map(lambda task: done.get(task) or _run_piece(*task, keep=options.keep), tasks):
            if (piece.kind, piece.first, piece.count) not in done and options.log is not None:
                with options.log.open("a", encoding="utf-8") as log:
                    log.write(json.dumps(asdict(piece)) + "\n")
            pieces[piece.kind].append(piece)
    finally:
        pool.shutdown(cancel_futures=True)
    return 1 if sum(_sum_up(name, pieces[name]) for name in names) else 0


def _list_rows(name: str, options: argparse.Namespace) -> list[tuple[int, int]]:
    """List the pieces of a kind, first and count: what was once found, and the rest."""
    full, quick, size = KINDS[name]
    end = options.first + (quick if options.quick else max(1, round(full * options.share)))
    rows = [(kept, 1) for kept in _kept(name)]
    return rows + [(first, min(size, end - first)) for first in range(options.first, end, size)]


def _parse_options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description="Try hostile input of every kind.")
    parser.add_argument("--quick", action="store_true", help="a short run, under a minute")
    parser.add_argument("--share", type=float, default=1.0, help="of the full counts")
    parser.add_argument("--first", type=int, default=0, metavar="NUMBER", help="where to begin")
    parser.add_argument("--only", metavar="KIND[:NUMBER]", help=f"one of {', '.join(KINDS)}; one input again")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="where to put the inputs that were found")
    parser.add_argument("--log", type=Path, metavar="FILE", help="what is done; a run that was stopped goes on from it")
    return parser.parse_args()


def _kept(name: str) -> list[int]:
    """Return the numbers of what was once found."""
    rows = [row.split("#")[0].strip().partition(":") for row in KEPT.read_text("utf-8").splitlines()]
    return [int(number) for kind, _, number in rows if kind == name]


def _read_log(log: Path | None) -> dict[tuple[str, int, int], Piece]:
    if log is None or not log.exists():
        return {}
    pieces = [Piece(**json.loads(line)) for line in log.read_text("utf-8").splitlines()]
    return {(piece.kind, piece.first, piece.count): piece for piece in pieces}


def _run_piece(kind: str, first: int, count: int, *, keep: Path | None) -> Piece:
    """Try a row of inputs in a process of its own, and in another one after an input that ended it."""
    piece, at, end = Piece(kind, first, count), first, first + count
    while at < end:
        for row in _start_worker(kind, at, end - at, keep):
            at = row["number"] + 1
            piece.refused += row["refused"]
            piece.slowest_s = max(piece.slowest_s, row["took_s"])
            piece.largest_mb = max(piece.largest_mb, row["mb"])
            if row["problem"]:
                piece.found.append(f"{kind}:{row['number']}  {row['problem']}")
                print(piece.found[-1], flush=True)
    return piece


def _start_worker(kind: str, first: int, count: int, keep: Path | None) -> Iterator[dict[str, Any]]:
    """Go through what a worker says of its inputs; one that ended it is a finding."""
    command = [sys.executable, "-m", "tests.fuzz.worker", kind, str(first), str(count)]
    command += [] if keep is None else [str(keep)]
    begun = None
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as worker:
        assert worker.stdout is not None
        for line in worker.stdout:
            row = json.loads(line)
            if "begun" in row:
                begun = row["begun"]
            else:
                begun = None
                yield row
    if begun is not None:
        problem = f"ended the process with {worker.returncode}"
        yield {"number": begun, "problem": problem, "refused": False, "took_s": 0.0, "mb": 0.0}
    elif worker.returncode:
        raise SystemExit(f"a worker of {kind} could not begin: status {worker.returncode}")


def _sum_up(name: str, pieces: list[Piece]) -> int:
    """Print a line about all inputs of a kind; return how many did not hold."""
    found = [sentence for piece in pieces for sentence in piece.found]
    print(
        f"{name}: {sum(piece.count for piece in pieces)} tried, {sum(piece.refused for piece in pieces)} refused in a "
        f"sentence, {len(found)} found; the slowest took {max(piece.slowest_s for piece in pieces):.1f} s of CPU, the "
        f"largest process {max(piece.largest_mb for piece in pieces):.0f} MB",
        flush=True,
    )
    return len(found)


if __name__ == "__main__":
    sys.exit(main())
