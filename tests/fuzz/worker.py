"""One piece of a run: a process that tries inputs of one kind, and says of each what came of it, one JSON line each.

``python -m tests.fuzz.worker KIND FIRST COUNT [KEEP]``. Two watchdogs end what does not end: a timer of CPU time where
Python runs, and one of real time wherever it hangs, in a library of C too.
"""

from __future__ import annotations

import faulthandler
import importlib
import json
import os
import resource
import shutil
import signal
import sys
import tempfile
import traceback
import warnings
from collections.abc import Callable
from pathlib import Path
from types import FrameType

from listen.errors import ListenError
from tests.fuzz import MOST_CPU_S, MOST_MEMORY_MB
from tests.fuzz.warm import close_servers, spent_by_warm_children, use_warm_decoders

MOST_REAL_S = 240.0
"""Ten seconds of CPU are so long on a machine with twenty other jobs."""
MOST_LETTERS = 1000
"""Of a sentence."""


class HangError(Exception):
    """An input took too much time."""


def main() -> None:
    """Try a row of numbers; end early when this process has grown too large to measure the next one by."""
    kind, first, count, *keep = sys.argv[1:]
    warnings.simplefilter("error")
    signal.signal(signal.SIGVTALRM, _stop)
    os.environ |= {"LISTEN_SETTINGS": "/nonexistent/settings.json", "LISTEN_GUITARS": "/nonexistent"}
    try_one = importlib.import_module(f"tests.fuzz.{kind}").try_one
    if kind == "recordings":
        use_warm_decoders()
    with tempfile.TemporaryDirectory(prefix="listen-fuzz-") as place:
        folder = Path(place)
        for number in range(int(first), int(first) + int(count)):
            print(json.dumps({"begun": number}), flush=True)
            problem, refused, took_s = _try(try_one, number, folder)
            if problem and keep:
                _keep_input(folder, Path(keep[0]), f"{kind}-{number}")
            memory_mb = _memory_mb()
            row = {"number": number, "problem": problem, "refused": refused, "took_s": took_s, "mb": memory_mb}
            print(json.dumps(row), flush=True)
            if memory_mb > MOST_MEMORY_MB:
                break
    close_servers()


def _try(try_one: Callable[[int, Path], None], number: int, folder: Path) -> tuple[str, bool, float]:
    """Return what did not hold (empty where all did), whether it was refused, and the seconds of CPU."""
    before, refused, problem = _cpu_s(), False, ""
    faulthandler.dump_traceback_later(MOST_REAL_S, exit=True)
    signal.setitimer(signal.ITIMER_VIRTUAL, MOST_CPU_S)
    try:
        try_one(number, folder)
    except ListenError as error:
        refused = True
        if not 0 < len(str(error)) < MOST_LETTERS:
            problem = f"no sentence: {str(error)[:300]!r}"
    except Exception as error:  # what is looked for
        problem = _describe(error)
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        faulthandler.cancel_dump_traceback_later()
    took_s = _cpu_s() - before
    if not problem and took_s > MOST_CPU_S:
        problem = f"took {took_s:.1f} s"
    if not problem and _memory_mb() > MOST_MEMORY_MB:
        problem = f"a process took {_memory_mb():.0f} MB"
    return problem, refused, round(took_s, 3)


def _stop(_number: int, _frame: FrameType | None) -> None:
    raise HangError(f"over {MOST_CPU_S:.0f} s")


def _describe(error: Exception) -> str:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    return f"{type(error).__name__}: {str(error)[:200]!r} at {frame.filename.rsplit('/', 2)[-1]}:{frame.lineno}"


def _cpu_s() -> float:
    usages = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(usage.ru_utime + usage.ru_stime for usage in usages) + spent_by_warm_children()[0]


def _memory_mb() -> float:
    """Return the most that this process or any child of it ever took."""
    scale = 1 if sys.platform == "darwin" else 1024  # macOS counts bytes, Linux kilobytes
    most = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return round(max(most * scale / 2**20, spent_by_warm_children()[1]), 1)


def _keep_input(folder: Path, keep: Path, name: str) -> None:
    keep.mkdir(parents=True, exist_ok=True)
    for path in folder.glob("mutated*"):
        shutil.copy(path, keep / f"{name}{path.suffix}")


if __name__ == "__main__":
    main()
