"""How the command line ends when it is told to from outside: nothing half written stays, and no traceback is shown.

SIGTERM (a shutdown, ``kill``) and SIGHUP (a terminal that was closed) end a program on the spot. Here each is raised as
an exception in it, as Python raises Ctrl+C: files that are half written go, and processes that it started end. The
status is what a shell gives such a program: 128 and the number of the signal (POSIX.1-2017, *sh*, exit status).
"""

from __future__ import annotations

import signal
import sys
from contextlib import suppress
from typing import Any, NoReturn

ENDING = ("SIGTERM", "SIGHUP")
STOPPED = 128 + signal.SIGINT


def end_by_exception() -> None:
    """Have signals that end the program raised in it; one that is ignored (``nohup``) stays so."""
    for name in ENDING:
        number = getattr(signal, name, None)  # Windows has no SIGHUP
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, _end)


def _end(number: int, _: Any) -> NoReturn:
    raise SystemExit(128 + number)


def tell_stopped() -> None:
    """Say that it was stopped, and load nothing for it: what was being loaded at that moment is there by half."""
    with suppress(OSError, ValueError):  # where nobody is left to tell
        sys.stderr.write("listen: Stopped.\n")
        sys.stderr.flush()
