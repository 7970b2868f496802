"""Programs that are killed while they write: what was there before, or what comes after it, but never half of it."""

from __future__ import annotations

import random
import time
from pathlib import Path

from listen.document import write_file
from tests.fuzz.warm import start_warm

N_LINES = 4000
LATEST_S = 0.15


def try_one(number: int, folder: Path) -> None:
    """Kill a program that writes one file again and again; look at the file, and let another one write after it."""
    draw = random.Random(number)
    path = folder / "kept.txt"
    write_file(path, "before\n" * N_LINES, overwrite=True)
    writer = start_warm("writer", str(path))
    assert writer.stdout.readline() == b"ready\n"
    time.sleep(draw.uniform(0.0, LATEST_S))
    writer.kill()
    writer.wait()
    writer.stdout.close()
    lines = path.read_text("utf-8").splitlines()
    assert len(lines) == N_LINES, f"{len(lines)} lines"
    assert len(set(lines)) == 1, "lines of two writings"
    write_file(path, "after\n", overwrite=True)


def write_for_ever(path: str) -> None:
    """Write a file again and again, until somebody ends it."""
    print("ready", flush=True)
    number = 0
    while True:
        number += 1
        text = f"{number}\n"
        write_file(path, (text for _ in range(N_LINES)), overwrite=True)
