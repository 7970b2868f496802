"""Measure what each command takes on long input: ``python -m tests.benchmarks.memory [--minutes 10] [--rows REGEX]``.

For each command the largest process and the most that it and its children held together (sampled); its ceiling is
500 MB a process and 1 GB with its children, whatever it is given. Linux only: it looks into ``/proc``.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

MOST_MB, MOST_TOGETHER_MB = 500, 1000
EVERY_S = 0.1
TEN_STRINGS = "B1 E2 A2 D3 G3 B3 E4 A4 D5 G5"


@dataclass(frozen=True, slots=True)
class Taken:
    """What one command took.

    Parameters
    ----------
    largest_mb, together_mb : float
    cpu_s : float
        With its children.
    status : int
    """

    largest_mb: float
    together_mb: float
    cpu_s: float
    status: int


def measure(*words: str, folder: Path) -> Taken:
    """Run a command and watch its memory, and its children's."""
    environment = os.environ | {
        "LISTEN_SETTINGS": str(folder / "none.json"), "LISTEN_CACHE": str(folder / "cache"), "OMP_NUM_THREADS": "1",
        "PYTHONPATH": str(Path(__file__).parents[2]),
    }  # fmt: skip
    command = [sys.executable, "-m", "listen", *words]
    with (folder / "output").open("w") as output:
        process = subprocess.Popen(command, stdout=output, stderr=output, env=environment, cwd=folder)
        together = 0.0
        while True:
            pid, status, usage = os.wait4(process.pid, os.WNOHANG)
            if pid:
                break
            together = max(together, _held_together_mb(process.pid))
            time.sleep(EVERY_S)
    process.returncode = os.waitstatus_to_exitcode(status)
    largest = usage.ru_maxrss / 1024
    return Taken(largest, max(together, largest), usage.ru_utime + usage.ru_stime, process.returncode)


def _held_together_mb(pid: int) -> float:
    """Return what a process and all below it hold at this moment."""
    held, waiting = 0.0, [pid]
    while waiting:
        number = waiting.pop()
        try:
            held += (
                int(Path(f"/proc/{number}/statm").read_text("ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") / 2**20
            )
            waiting += map(int, Path(f"/proc/{number}/task/{number}/children").read_text("ascii").split())
        except (OSError, IndexError):  # it ended meanwhile
            continue
    return held


def list_commands(minutes: float) -> dict[str, tuple[str, ...]]:
    """Return what is measured; a later command may read what an earlier one wrote."""
    long = f"{minutes:g} minutes"
    return {
        f"strum, {long}": ("strum", "long.wav", "--at", "30"),
        f"part, {long}, every form": (
            "part", "long.wav", *(word for ending in ("json", "html", "musicxml", "mid", "csv", "lab", "chart", "tab")
                                  for word in ("-o", f"long.{ending}")),
        ),
        f"part, {long} of AAC": ("part", "long.m4a"),
        f"part, the document of {long}": ("part", "long.json", "--full", "-o", "again.html"),
        f"play, {long}": ("play", "long.json", "-o", "played.wav"),
        f"play, {long} beside the recording": ("play", "long.json", "--beside", "long.wav", "-o", "beside.wav"),
        f"check, {long}": ("check", "C G Am F", "long.wav", "--pages", "pages"),
        f"check, {long} as the demonstration": ("check", "long.json", "long.wav"),
        "strum, ten strings": ("strum", "chord.flac", "--tuning", TEN_STRINGS),
        "part, ten strings": ("part", "chord.flac", "--tuning", TEN_STRINGS),
        "shapes, ten strings": ("shapes", "C13", "--tuning", TEN_STRINGS),
        "shapes, eight strings": ("shapes", "C13", "--tuning", "eight-string"),
    }  # fmt: skip


def make_inputs(folder: Path, minutes: float) -> None:
    """Write the long recordings and the short one."""
    write = "import sys; from pathlib import Path; from tests.benchmarks.speed import write_parts; "
    write += "write_parts(Path(sys.argv[1]), float(sys.argv[2]))"
    root = Path(__file__).parents[2]
    command = [sys.executable, "-c", write, str(folder / "long.wav"), str(60.0 * minutes)]
    subprocess.run(command, check=True, cwd=root)
    subprocess.run(
        ["ffmpeg", "-loglevel", "error", "-i", str(folder / "long.wav"), str(folder / "long.m4a")], check=True
    )
    (folder / "chord.flac").write_bytes((root / "audio_fixtures" / "open_g_over_b.flac").read_bytes())


def main() -> int:
    """Measure and print; the status is 1 where a ceiling was passed."""
    parser = argparse.ArgumentParser(description="Measure the memory of every command on long input.")
    parser.add_argument("--minutes", type=float, default=10.0, help="of the long recording")
    parser.add_argument("--rows", default="", metavar="REGEX", help="only these")
    given = parser.parse_args()
    n_over = 0
    print("| what | largest process | with its children | CPU | status |\n|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        make_inputs(folder, given.minutes)
        for title, words in list_commands(given.minutes).items():
            if not re.search(given.rows, title):
                continue
            taken = measure(*words, folder=folder)
            n_over += taken.largest_mb > MOST_MB or taken.together_mb > MOST_TOGETHER_MB
            cells = (f"{taken.largest_mb:.0f} MB", f"{taken.together_mb:.0f} MB", f"{taken.cpu_s:.0f} s", taken.status)
            print(f"| {title} | {' | '.join(map(str, cells))} |", flush=True)
    return 1 if n_over else 0


if __name__ == "__main__":
    sys.exit(main())
