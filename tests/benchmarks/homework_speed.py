"""How long a class takes: many recordings of 30 s, with one process and with two, and again from what was kept."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from listen.jobs import CheckCache, CheckJob, check_class, find_recordings, name_students
from tests.benchmarks.homework_scenes import make_homework
from tests.benchmarks.part_sound import RATE_HZ, render_strings

LENGTH_S = 30.0
N_DIFFERENT = 4
SEED = 91_000


def measure_speed(n: int) -> Iterator[str]:
    """Yield the times of a run with one process, with two, and of a second run."""
    import soundfile

    made = make_homework(SEED, "none")
    rng = np.random.default_rng(SEED)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "in").mkdir()
        sounds = []
        for number in range(N_DIFFERENT):
            made = make_homework(SEED + 10 * number, "none")
            samples = render_strings(made.scene)
            sounds.append(np.tile(samples, 2)[: int(LENGTH_S * RATE_HZ)])
        for number in range(n):
            gain = float(rng.uniform(0.3, 1.0))
            soundfile.write(folder / "in" / f"{number:03}.flac", gain * sounds[number % N_DIFFERENT], RATE_HZ)
        recordings = name_students(find_recordings([folder / "in"]))
        length_s = n * LENGTH_S
        taken = {}
        for n_jobs in (1, 2):
            cache = CheckCache(folder / f"cache{n_jobs}")
            begin = time.perf_counter()
            check_class(recordings, CheckJob(made.assignment, n_jobs=n_jobs), cache)
            taken[n_jobs] = time.perf_counter() - begin
            yield f"{n_jobs} process(es): {taken[n_jobs]:.1f} s, {taken[n_jobs] / length_s:.4f} of their length"
        begin = time.perf_counter()
        check_class(recordings, CheckJob(made.assignment, n_jobs=2), cache)
        again = time.perf_counter() - begin
        yield f"two against one: {taken[1] / taken[2]:.2f} times faster"
        yield f"again: {again:.2f} s, {again / taken[2]:.4f} of the first run"
