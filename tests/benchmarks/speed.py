"""Time the program: ``python -m tests.benchmarks.speed``.

Prints, for one three-second recording made here: ``listen strum`` from a cold start beside a five-line script with
librosa's ``chroma_cqt``, alternated in one run; the CPU seconds of ``listen --help``; one strum once everything is
loaded, on one core; and the peak memory of ``listen strum``. ``--part 60`` times ``listen part`` instead, on so many
minutes of different parts made from seeds. Nothing of it is a test: machines differ.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

RATE_HZ = 44_100
LENGTH_S = 3.0
PART_SEED, MOST_PARTS = 60_000, 30
FIVE_LINES = """\
import sys, librosa
samples, rate = librosa.load(sys.argv[1])
chroma = librosa.feature.chroma_cqt(y=samples, sr=rate)
mean = chroma.mean(axis=1)
print(mean.argmax())
"""
WARM = """\
import sys, time, statistics, soundfile
from listen.transcription import read_strum
samples, rate = soundfile.read(sys.argv[1], dtype="float32")
spent = []
for _ in range(int(sys.argv[2]) + 2):
    started = time.process_time()
    read_strum(samples, sample_rate_hz=rate)
    spent.append(time.process_time() - started)
print(statistics.median(spent[2:]))
"""


@dataclass(frozen=True, slots=True)
class Spent:
    """What one process took.

    Parameters
    ----------
    wall_s, cpu_s : float
    peak_mb : float
        Largest resident set.
    output : str
    """

    wall_s: float
    cpu_s: float
    peak_mb: float
    output: str


def run_once(*command: str, one_core: bool = False) -> Spent:
    """Run a command and measure it.

    Parameters
    ----------
    command : str
    one_core : bool
        Keep numpy's libraries to one thread.
    """
    environment = dict(os.environ)
    if one_core:
        environment |= dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    with tempfile.TemporaryFile("w+") as output:
        started = time.perf_counter()
        process = subprocess.Popen(command, stdout=output, env=environment)
        _, status, usage = os.wait4(process.pid, 0)
        wall_s = time.perf_counter() - started
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode:
            raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
        output.seek(0)
        return Spent(wall_s, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, output.read())


def write_recording(path: Path) -> None:
    """Write a three-second strum (C sharp minor seventh, barre at fret 4)."""
    import soundfile

    from listen.instrument import Fretboard, Shape
    from listen.synthesis import StrumStyle, Tone, render_shape

    settings = StrumStyle(duration_s=LENGTH_S, onset_s=0.3, tone=Tone(sample_rate_hz=RATE_HZ, seed=4))
    soundfile.write(path, render_shape(Shape((None, 4, 6, 4, 5, 4)), Fretboard(), settings=settings), RATE_HZ)


def write_parts(path: Path, length_s: float) -> None:
    """Write different parts one after another until the recording is so long (thirty different ones, over and over)."""
    import numpy as np
    import soundfile

    from tests.benchmarks.part_scenes import make_scene
    from tests.benchmarks.part_sound import RATE_HZ as PART_RATE_HZ
    from tests.benchmarks.part_sound import render_strings

    parts, n_samples = [], 0
    for number in range(MOST_PARTS):
        scene = make_scene(PART_SEED + number, strums_per_s=(2.0, 4.0, 6.0)[number % 3], n_bars=16)
        samples = render_strings(scene, guitar=("steel", "electric", "nylon")[number % 3])
        parts.append(0.7 * samples / np.abs(samples).max())
        n_samples += len(samples)
        if n_samples > length_s * PART_RATE_HZ:
            break
    with soundfile.SoundFile(path, "w", PART_RATE_HZ, 1, subtype="PCM_16") as file:
        left = round(length_s * PART_RATE_HZ)
        while left > 0:
            for samples in parts:
                file.write(samples[:left])
                left -= min(left, len(samples))


def time_part(minutes: float) -> None:
    """Measure and print what ``listen part`` takes for a long recording."""
    length_s = 60.0 * minutes
    with tempfile.TemporaryDirectory() as folder:
        recording, written = Path(folder) / "parts.wav", Path(folder) / "part.json"
        # in a process of its own: a child's peak memory begins with its parent's
        write = "import sys; from pathlib import Path; from tests.benchmarks.speed import write_parts; "
        write += "write_parts(Path(sys.argv[1]), float(sys.argv[2]))"
        run_once(sys.executable, "-c", write, str(recording), str(length_s))
        spent = run_once(sys.executable, "-m", "listen", "part", str(recording), "-o", str(written), one_core=True)
    print("| what | measured |\n|---|---|")
    print(f"| `listen part`, {minutes:g} minutes | {spent.wall_s:.0f} s, {spent.wall_s / length_s:.3f} of real time |")
    print(f"| CPU | {spent.cpu_s:.0f} s, {spent.cpu_s / length_s:.3f} of real time |")
    print(f"| peak memory | {spent.peak_mb:.0f} MB |")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Time the program.")
    parser.add_argument("--rounds", type=int, default=9, help="pairs of cold starts")
    parser.add_argument("--part", type=float, metavar="MINUTES", help="time a whole part of so many minutes")
    given = parser.parse_args()
    if given.part is not None:
        time_part(given.part)
        return
    with tempfile.TemporaryDirectory() as folder:
        recording = Path(folder) / "strum.wav"
        write_recording(recording)
        listen = (sys.executable, "-m", "listen")
        ours = (*listen, "strum", str(recording))
        theirs = (sys.executable, "-c", FIVE_LINES, str(recording))
        for command in (ours, theirs):
            run_once(*command)  # fills the disk cache, and librosa's of compiled functions
        pairs = [(run_once(*ours), run_once(*theirs)) for _ in range(given.rounds)]
        helped = [run_once(*listen, "--help") for _ in range(given.rounds)]
        warm_s = float(run_once(sys.executable, "-c", WARM, str(recording), "20", one_core=True).output)
    ours_s, theirs_s = (statistics.median(pair[place].wall_s for pair in pairs) for place in (0, 1))
    ours_cpu, theirs_cpu = (statistics.median(pair[place].cpu_s for pair in pairs) for place in (0, 1))
    ratio = statistics.median(mine.wall_s / other.wall_s for mine, other in pairs)
    print("| what | measured |\n|---|---|")
    print(f"| `listen strum`, cold, {LENGTH_S:g} s recording | {ours_s:.2f} s (CPU {ours_cpu:.2f} s) |")
    print(f"| five lines with librosa's `chroma_cqt`, cold | {theirs_s:.2f} s (CPU {theirs_cpu:.2f} s) |")
    print(f"| ratio, median of {given.rounds} alternated pairs | {ratio:.2f} |")
    print(f"| `listen --help`, CPU | {statistics.median(one.cpu_s for one in helped):.2f} s |")
    print(f"| one strum, loaded, one core, CPU | {1e3 * warm_s:.0f} ms |")
    print(f"| peak memory of `listen strum` | {max(mine.peak_mb for mine, _ in pairs):.0f} MB |")


if __name__ == "__main__":
    main()
