"""``python -m tests.fuzz``: try hostile input of every kind and say what did not hold.

Options: ``--quick`` a short run (under a minute), ``--only KIND[:NUMBER]``, ``--share 0.1`` a tenth of the full counts,
``--first NUMBER`` where to begin, ``--keep FOLDER`` where to put the inputs that were found.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Iterable
from pathlib import Path
from types import FrameType

from listen.errors import ListenError
from tests.fuzz import MOST_CPU_S, MOST_MEMORY_MB, documents, kills, recordings, words

KINDS: dict[str, tuple[Callable[[int, Path], None], int, int]] = {  # what tries one; the full run; the quick one
    "recordings": (recordings.try_one, 10_000, 60),
    "words": (words.try_one, 10_000, 1500),
    "documents": (documents.try_one, 5_000, 120),
    "kills": (kills.try_one, 500, 6),
}
KEPT = Path(__file__).with_name("kept_seeds.txt")


class HangError(Exception):
    """An input took too much time."""


def main() -> int:
    """Run what was asked for; the status is 1 where something did not hold."""
    options = _parse_options()
    warnings.simplefilter("error")
    signal.signal(signal.SIGVTALRM, _stop)
    os.environ |= {"LISTEN_SETTINGS": "/nonexistent/settings.json", "LISTEN_GUITARS": "/nonexistent"}
    n_found = 0
    kind, _, number = (options.only or "").partition(":")
    for name, (try_one, full, quick) in KINDS.items():
        if kind not in {"", name}:
            continue
        count = quick if options.quick else max(1, round(full * options.share))
        numbers: Iterable[int] = range(options.first, options.first + count)
        numbers = [int(number)] if number else [*_kept(name), *numbers]
        n_found += _run(name, try_one, numbers, options.keep)
    return 1 if n_found else 0


def _parse_options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description="Try hostile input of every kind.")
    parser.add_argument("--quick", action="store_true", help="a short run, under a minute")
    parser.add_argument("--share", type=float, default=1.0, help="of the full counts")
    parser.add_argument("--first", type=int, default=0, metavar="NUMBER", help="where to begin")
    parser.add_argument("--only", metavar="KIND[:NUMBER]", help=f"one of {', '.join(KINDS)}; one input again")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="where to put the inputs that were found")
    return parser.parse_args()


def _kept(name: str) -> list[int]:
    """Return the numbers of what was once found."""
    rows = [row.split("#")[0].strip().partition(":") for row in KEPT.read_text("utf-8").splitlines()]
    return [int(number) for kind, _, number in rows if kind == name]


def _run(name: str, try_one: Callable[[int, Path], None], numbers: Iterable[int], keep: Path | None) -> int:
    """Try inputs of one kind; print what was found and a line about all."""
    n_tried = n_refused = n_found = 0
    slowest_s = 0.0
    begun = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="listen-fuzz-") as place:
        folder = Path(place)
        for number in numbers:
            n_tried += 1
            before = _cpu_s()
            signal.setitimer(signal.ITIMER_VIRTUAL, MOST_CPU_S)
            try:
                try_one(number, folder)
            except ListenError as error:
                n_refused += 1
                problem = "" if _is_one_sentence(str(error)) else f"no sentence: {str(error)[:300]!r}"
            except Exception as error:  # what is looked for
                problem = _describe(error)
            else:
                problem = ""
            finally:
                signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
            took_s = _cpu_s() - before
            slowest_s = max(slowest_s, took_s)
            if not problem and took_s > MOST_CPU_S:
                problem = f"took {took_s:.1f} s"
            if not problem and _memory_mb() > MOST_MEMORY_MB:
                problem = f"a process took {_memory_mb():.0f} MB"
            if problem:
                n_found += 1
                print(f"{name}:{number}  {problem}", flush=True)
                _keep_input(folder, keep, f"{name}-{number}")
    print(
        f"{name}: {n_tried} tried, {n_refused} refused in a sentence, {n_found} found; the slowest took "
        f"{slowest_s:.1f} s of CPU, the largest process {_memory_mb():.0f} MB; {time.monotonic() - begun:.0f} s in all",
        flush=True,
    )
    return n_found


def _stop(_number: int, _frame: FrameType | None) -> None:
    raise HangError(f"over {MOST_CPU_S:.0f} s")


def _is_one_sentence(text: str) -> bool:
    return 0 < len(text) < 1000


def _describe(error: Exception) -> str:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    return f"{type(error).__name__}: {str(error)[:200]!r} at {frame.filename.rsplit('/', 2)[-1]}:{frame.lineno}"


def _cpu_s() -> float:
    return sum(
        usage.ru_utime + usage.ru_stime
        for usage in (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


def _memory_mb() -> float:
    """Return the most that this process or any child of it ever took."""
    scale = 1 if sys.platform == "darwin" else 1024  # macOS counts bytes, Linux kilobytes
    most = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return most * scale / 2**20


def _keep_input(folder: Path, keep: Path | None, name: str) -> None:
    if keep is not None:
        keep.mkdir(parents=True, exist_ok=True)
        for path in folder.glob("mutated*"):
            shutil.copy(path, keep / f"{name}{path.suffix}")


if __name__ == "__main__":
    sys.exit(main())
