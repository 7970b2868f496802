"""Score the reading of parts joined from recorded strums: ``python -m tests.benchmarks.joined_strums [-n 24]``.

Each stroke is one of 339 recorded strums of open chords (Osmalskyj et al. 2012: measuring only), by one guitar in one
room, cut off where the next begins; nearly all are drawn slowly, over a tenth to a third of a second. The truth of
a chord is its label, its bass the root.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from functools import cache

import numpy as np
import soundfile
from numpy.typing import NDArray
from scipy.signal import resample_poly

from listen.transcription import read_part_samples
from tests.benchmarks.part_scenes import Scene, SceneChord, SceneGuitar, SceneStroke
from tests.benchmarks.part_sound import RATE_HZ, RECORDINGS
from tests.benchmarks.people import print_scores, score_peoples_part

SEED = 31_000
# beats a bar, strokes in twelfths of a beat, slowest and fastest in beats a minute: no strum is much longer than 2 s
PATTERNS: dict[str, tuple[int, tuple[int, ...], tuple[float, float]]] = {
    "quarters": (4, (0, 12, 24, 36), (66.0, 104.0)),
    "halves": (4, (0, 24), (76.0, 120.0)),
    "waltz": (3, (0, 12, 24), (70.0, 110.0)),
    "held and two": (4, (0, 24, 36), (70.0, 104.0)),
    "pushes": (4, (0, 18, 36), (60.0, 84.0)),
    "one a bar": (4, (0,), (100.0, 130.0)),
}
ROWS = ("G D Em C", "Am F C G", "D A Bm G", "C Am Dm G", "Em C G D", "A D E A", "Dm Am F C", "E A Bm D")
UNEVEN_S, LOUDNESS_DB, FADE_S, LEAD_S = 0.015, 1.5, 0.03, 0.02
BEGINS = 0.07  # of its loudest 10 ms: a recorded strum's first string


@cache
def _list_strums() -> dict[tuple[int, str, str], list[str]]:
    strums: dict[tuple[int, str, str], list[str]] = {}
    for entry in json.loads((RECORDINGS / "manifest.json").read_text(encoding="utf-8")):
        if entry["set"] == "strums_open_chords":
            strums.setdefault((entry["guitar"], entry["room"], entry["harte"]), []).append(entry["file"])
    return strums


def _take_strum(name: str) -> tuple[NDArray[np.float32], int]:
    """Take a recorded strum, and how many samples lie before its first string."""
    samples, rate_hz = soundfile.read(RECORDINGS / name, dtype="float32", always_2d=True)
    sound = resample_poly(samples.mean(axis=1), RATE_HZ // rate_hz, 1).astype(np.float32)
    window = np.ones(RATE_HZ // 100) / (RATE_HZ // 100)
    level = np.sqrt(np.convolve(sound**2, window, "same"))
    first = int(np.argmax(level > BEGINS * level.max()))
    lead = min(first, int(LEAD_S * RATE_HZ))
    return sound[first - lead :], lead


def make_joined_part(number: int, seed: int = SEED) -> tuple[Scene, NDArray[np.float32], str]:
    """Make a part: its truth, its sound, and whose it is."""
    rng = np.random.default_rng(seed + number)
    name = list(PATTERNS)[number % len(PATTERNS)]
    per_bar, steps, (slowest, fastest) = PATTERNS[name]
    guitar, room = 1 + number // len(PATTERNS) % 2, ("anechoic", "noisy")[number // 2 % 2]
    bpm = float(rng.uniform(slowest, fastest))
    labels = [f"{chord.rstrip('m')}:{'min' if chord.endswith('m') else 'maj'}"
              for chord in ROWS[rng.integers(len(ROWS))].split()]  # fmt: skip
    n_bars = 48 // per_bar
    lengths_s = 60.0 / bpm * (1.0 - float(rng.uniform(-0.1, 0.15)) * np.arange(n_bars * per_bar) / (n_bars * per_bar))
    beats_s = (0.4 + np.cumsum([0.0, *lengths_s])).tolist()
    scene = Scene(seed + number, name, per_bar, 2, bpm, SceneGuitar(0, 0.0), "C")
    scene.beats_s, scene.bars_s = beats_s[:-1], beats_s[::per_bar]
    for bar in range(n_bars):
        start_s, end_s = scene.bars_s[bar : bar + 2]
        scene.chords.append(SceneChord(start_s, end_s, labels[bar % len(labels)], (None,) * 6))
        for step in steps:
            at_s = float(np.interp(bar * per_bar + step / 12.0, np.arange(len(beats_s)), beats_s))
            scene.strokes.append(SceneStroke(at_s + rng.normal(0.0, UNEVEN_S), "D", None, 0.0, bar, step))
    sound = np.zeros(int((beats_s[-1] + 3.0) * RATE_HZ), np.float32)
    for place, stroke in enumerate(scene.strokes):
        files = _list_strums()[guitar, room, scene.chords[stroke.chord].label]
        strum, lead = _take_strum(files[rng.integers(len(files))])
        until_s = scene.strokes[place + 1].onset_s if place + 1 < len(scene.strokes) else np.inf
        n = int(min(len(strum), (until_s - stroke.onset_s) * RATE_HZ + lead))
        strum = strum[:n] * np.float32(10.0 ** (rng.normal(0.0, LOUDNESS_DB) / 20.0))
        fade = min(int(FADE_S * RATE_HZ), n)
        strum[n - fade :] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
        first = int(stroke.onset_s * RATE_HZ) - lead
        sound[first : first + n] += strum
    return scene, np.asarray(0.5 * sound / np.abs(sound).max(), np.float32), f"guitar {guitar}, {room}"


def read_parts(n: int, seed: int = SEED) -> Iterator[tuple[str, str, str, dict[str, tuple[float, float]]]]:
    """Read and score parts."""
    for number in range(n):
        scene, sound, whose = make_joined_part(number, seed)
        part = read_part_samples(sound, sample_rate_hz=RATE_HZ)
        yield whose.split(",")[0], scene.pattern, whose, score_peoples_part(scene, part)


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("-n", type=int, default=24)
    parser.add_argument("--seed", type=int, default=SEED, help="which parts are made")
    given = parser.parse_args()
    print_scores(list(read_parts(given.n, given.seed)))


if __name__ == "__main__":
    main()
