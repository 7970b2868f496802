"""Programs that are killed while they write: what was there before, or what comes after it, but never half of it."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

N_LINES = 4000
WRITER = """
import sys
from listen.document import write_file
path, n_lines = sys.argv[1], int(sys.argv[2])
print("ready", flush=True)
for number in range(10**9):
    write_file(path, (f"{number}\\n" for _ in range(n_lines)), overwrite=True)
"""


def try_one(number: int, folder: Path) -> None:
    """Kill a program that writes one file again and again; look at the file, and let another one write after it."""
    from listen.document import write_file

    draw = random.Random(number)
    path = folder / "kept.txt"
    write_file(path, "before\n" * N_LINES, overwrite=True)
    with subprocess.Popen([sys.executable, "-c", WRITER, str(path), str(N_LINES)], stdout=subprocess.PIPE) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == b"ready\n"
        time.sleep(draw.uniform(0.0, 0.15))
        program.send_signal(signal.SIGKILL)
    lines = path.read_text("utf-8").splitlines()
    assert len(lines) == N_LINES, f"{len(lines)} lines"
    assert len(set(lines)) == 1, "lines of two writings"
    write_file(path, "after\n", overwrite=True)
