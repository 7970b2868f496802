"""Score parts that go in rounds, with one bar that differs: ``python -m tests.benchmarks.songs [-n 42]``.

A song's chords come round every four bars, and now and then one of them differs: another bass, a seventh, another
chord. Each part has four rounds of four open chords of a key; in the last, or in the last two, one is another: mostly
one over the same root. Players, patterns and surroundings are those of :mod:`tests.benchmarks.people`, in turn. Names
are counted with their bass, in rounds and where a bar differs.
"""

from __future__ import annotations

import argparse

import numpy as np
from numpy.typing import NDArray

from listen.reading import Part
from listen.theory import chord_to_harte
from listen.transcription import read_part_samples
from tests.benchmarks.part_scenes import KEYS, OPEN_FORMS, Scene
from tests.benchmarks.part_sound import RATE_HZ
from tests.benchmarks.people import is_same_chord, render_in_turn
from tests.benchmarks.people_scenes import PEOPLES_PATTERNS, PLAYERS, make_peoples_scene
from tests.benchmarks.surroundings import SURROUNDINGS

SEED = 610_000
ROUND, ROUNDS = 4, 4  # bars, and how often
SAME_ROOT = 0.75  # of the bars that differ; the others hold another chord


def make_row(rng: np.random.Generator) -> tuple[str, list[str], set[int]]:
    """Draw the chords of a song: its key, a name a bar, and which bars differ from their round."""
    key = str(rng.choice(list(KEYS)))
    pool = KEYS[key]
    names = [pool[0], *(str(name) for name in rng.choice(pool[1:], size=ROUND - 1, replace=False))]
    row = names * ROUNDS
    place = int(rng.integers(ROUND))
    alike = [name for name, form in OPEN_FORMS.items() if form[1] == OPEN_FORMS[names[place]][1] and name not in names]
    others = alike if alike and rng.random() < SAME_ROOT else [name for name in OPEN_FORMS if name not in names]
    bars = {place + ROUND * (ROUNDS - 1)} | ({place + ROUND * (ROUNDS - 2)} if rng.random() < 0.5 else set())
    other = str(rng.choice(others))
    for bar in bars:
        row[bar] = other
    return key, row, bars


def make_song(number: int, seed: int = SEED) -> tuple[Scene, set[int], NDArray[np.float32]]:
    """Make one part: its truth, which bars differ, and its sound."""
    rng = np.random.default_rng(seed + number)
    key, row, bars = make_row(rng)
    player = list(PLAYERS)[number % len(PLAYERS)]
    pattern = list(PEOPLES_PATTERNS)[(number + number // len(PLAYERS)) % len(PEOPLES_PATTERNS)]
    scene = make_peoples_scene(seed + number, player=player, pattern=pattern, n_bars=len(row), row=row)
    scene.key = key
    where = list(SURROUNDINGS)[(number + number // len(PLAYERS)) % len(SURROUNDINGS)]
    return scene, bars, SURROUNDINGS[where](render_in_turn(scene, number), scene, rng)


def score_song(scene: Scene, bars: set[int], part: Part) -> tuple[int, int, int, int]:
    """Count bars of rounds that are named as they were held, all of those; and the same of bars that differ."""
    right, n = [0, 0], [0, 0]
    for bar, (start_s, end_s) in enumerate(zip(scene.bars_s[:-1], scene.bars_s[1:], strict=True)):
        middle_s = 0.5 * (start_s + end_s)
        chord = next(one for one in scene.chords if one.start_s <= middle_s < one.end_s)
        name = next((one.name for one in part.spans if one.span.start_s <= middle_s < one.span.end_s), None)
        n[bar in bars] += 1
        right[bar in bars] += name is not None and is_same_chord(chord_to_harte(name.chord), chord.label)
    return right[0], n[0], right[1], n[1]


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("-n", type=int, default=42)
    parser.add_argument("--seed", type=int, default=SEED, help="which parts are made")
    given = parser.parse_args()
    counts = np.zeros(4, int)
    for number in range(given.n):
        scene, bars, sound = make_song(number, given.seed)
        counts += score_song(scene, bars, read_part_samples(sound, sample_rate_hz=RATE_HZ))
    for label, right, n in (("bars of rounds", *counts[:2]), ("bars that differ", *counts[2:])):
        print(f"{label:20}{n:6}{right / n:8.3f}")


if __name__ == "__main__":
    main()
