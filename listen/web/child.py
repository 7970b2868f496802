"""Processes of the page's own: each runs one of its modules on the library, and tells news as lines of JSON.

What strangers sent is decoded there, so that a file that brings one down, or takes for ever, brings down nothing else.
"""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

CLOSE_S = 5.0  # that a child has to end by itself; judged, not measured

News = dict[str, Any]
Publish = Callable[[News], None]


def start_child(module: str, *words: str) -> subprocess.Popen[bytes]:
    """Start a module with some words; it is the head of a group, so that its own children end with it."""
    environment = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    environment["PYTHONPATH"] = os.pathsep.join([str(Path(__file__).parents[2]), *filter(None, sys.path)])
    return subprocess.Popen(  # noqa: S603  (our own module; no shell reads the words)
        [sys.executable, "-m", module, *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=environment,
        start_new_session=True,
    )


def end_child(process: subprocess.Popen[bytes]) -> None:
    """End a process with those that it started; who reads its news sees the end of them."""
    if process.poll() is not None:
        return
    with contextlib.suppress(OSError):
        if sys.platform == "win32":
            process.kill()
        else:
            os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def close_pipes(process: subprocess.Popen[bytes]) -> None:
    """Close what leads to and from a process."""
    for stream in (process.stdin, process.stdout):
        if stream is not None:
            with contextlib.suppress(OSError):
                stream.close()
