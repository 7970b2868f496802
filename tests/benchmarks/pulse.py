"""Score bars over rows of strokes as people play them: ``python -m tests.benchmarks.pulse [-n 40] [--seed 0]``.

No sound is made, so a thousand parts take a minute: a pattern is played by a hand whose tempo wanders and drifts, jumps,
swings, hesitates at a change of chord, stops and begins again; strokes are lost and added, and what is said of them (way,
loudness, bass, change of chord) is as noisy as measured on recordings. Beats and bar lines are scored by mir_eval
within ±70 ms (Raffel et al. 2014), metres by their signature.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from listen.transcription.grid import StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings
from tests.benchmarks.part_scenes import PATTERNS

WINDOW_S = 0.07
# what a person's strokes deviate by; from the stroke files of five recorded takes, after a moving tempo is taken out
ONSET_SD_S, TEMPO_WALK = 0.018, 0.012
# of what is heard of a stroke: measured on the takes, line and phone together
LEAN_SD, LEVEL_SD_DB = 1.1, 2.0
LOST, ADDED, CHANGE_LOST, CHANGE_ADDED = 0.03, 0.04, 0.12, 0.04

# patterns of our own beside those of the scenes: beats a bar, division, (twelfths of a beat, what)
OWN_PATTERNS: dict[str, tuple[int, int, tuple[tuple[int, str], ...]]] = {
    "halves": (4, 2, ((0, "D"), (24, "D"))),
    "halves and": (4, 2, ((0, "D"), (24, "D"), (42, "U"))),
    "slow swing of the hand": (4, 1, ((0, "D"), (12, "U"), (24, "D"), (36, "U"))),
    "three and three and two": (4, 2, ((0, "D"), (18, "U"), (36, "D"))),
    "backbeats damped": (4, 2, ((0, "D"), (6, "U"), (12, "x"), (18, "U"), (24, "D"), (30, "U"), (36, "x"), (42, "U"))),
    "six eight, one and four": (2, 3, ((0, "D"), (8, "U"), (12, "D"), (20, "U"))),
    "six eight, full": (2, 3, ((0, "D"), (4, "U"), (8, "D"), (12, "D"), (16, "U"), (20, "D"))),
    "six eight, bass": (2, 3, ((0, "B"), (4, "D"), (8, "D"), (12, "B"), (16, "D"), (20, "D"))),
    "all down": (4, 2, ((0, "D"), (6, "D"), (12, "D"), (24, "D"), (30, "D"), (36, "D"))),
    "waltz, bass and brush": (3, 2, ((0, "B"), (12, "D"), (24, "D"), (30, "U"))),
}
SLOW = {"slow swing of the hand"}  # faster, nobody could tell it from eighths


@dataclass(frozen=True, slots=True)
class PlayedRow:
    """Strokes and what was meant.

    Parameters
    ----------
    features : StrokeFeatures
    beats_s, bars_s : tuple of float
    signature : str
    bpm : float
    manner, pattern : str
    """

    features: StrokeFeatures
    beats_s: tuple[float, ...]
    bars_s: tuple[float, ...]
    signature: str
    bpm: float
    manner: str
    pattern: str


MANNERS = ("steady", "drifts", "jumps", "swings", "hesitates", "stops", "pushes")


def play(seed: int, manner: str) -> PlayedRow:
    """Play a row of strokes in a manner."""
    rng = np.random.default_rng(seed)
    every = {**PATTERNS, **OWN_PATTERNS}
    names = [name for name in every if manner != "swings" or every[name][1] == 2]
    pattern = str(rng.choice(names))
    beats, division, strokes = every[pattern]
    bpm = float(rng.uniform(*((45, 85) if division == 3 else (60, 100) if division == 4 else (66, 160))))
    if pattern in SLOW:
        bpm = float(rng.uniform(62, 88))
    n_bars = int(rng.integers(8, 15))
    if beats == 2:
        n_bars += 4
    drift = float(rng.choice([-0.25, 0.33])) if manner == "drifts" else 0.0
    swing = float(rng.uniform(0.58, 0.67)) if manner == "swings" else 0.5
    break_bar = int(rng.integers(n_bars // 3, 2 * n_bars // 3)) if manner in ("jumps", "stops") else -1
    rows: list[tuple[float, str, float, bool]] = []
    beats_s, bars_s = [], []
    when, wander = float(rng.uniform(0.3, 1.0)), 0.0
    change_every = int(rng.choice([1, 1, 2]))
    for bar in range(n_bars):
        if bar == break_bar:
            bpm *= float(rng.choice([0.72, 0.8, 1.25, 1.35]))
            when += float(rng.uniform(0.7, 3.0)) if manner == "stops" else 0.0
        is_change = bar % change_every == 0
        if manner == "hesitates" and is_change and bar and rng.random() < 0.4:
            when += float(rng.uniform(0.1, 0.35))
        bars_s.append(when)
        times = []
        for _ in range(beats):
            wander = 0.8 * wander + float(rng.normal(0, TEMPO_WALK))
            times.append(when)
            when += 60.0 / bpm / (1.0 + drift * bar / n_bars) * (1.0 + wander)
        times.append(when)
        beats_s.extend(times[:-1])
        pushed = manner == "pushes" and rng.random() < 0.35
        for step, what in strokes:
            beat, inside = divmod(step, 12)
            share = inside / 12 if inside != 6 else swing
            at = times[beat] + share * (times[beat + 1] - times[beat])
            if step == 0 and pushed and rows:
                at -= 0.5 * 60.0 / bpm
            if not rows or at > rows[-1][0] + 0.06:
                rows.append((at + float(rng.normal(0, ONSET_SD_S)), what, step / 12, is_change and step == 0))
    bars_s.append(when)
    signature = f"{beats * 3}/8" if division == 3 else f"{beats}/4"
    return PlayedRow(_hear(rows, rng), tuple(beats_s), tuple(bars_s), signature, bpm, manner, pattern)


def _hear(rows: Sequence[tuple[float, str, float, bool]], rng: np.random.Generator) -> StrokeFeatures:
    """Hear strokes as noisily as the ear does."""
    heard = []
    for at, what, beat, is_change in rows:
        if rng.random() < LOST:
            continue
        way = {"U": -1.0, "u": -1.0, "x": 0.0}.get(what, 1.0 if what in "Dd" else 0.0)
        lean = 0.0 if what == "x" else way + float(rng.normal(0, LEAN_SD))
        level = float(rng.normal(0, LEVEL_SD_DB)) + (1.5 if beat == 0 else 0.0) - (2.0 if what in "Uud" else 0.0)
        bass = float(np.clip({"D": 0.6, "d": 0.5, "B": 0.9, "x": 0.3}.get(what, 0.3) + rng.normal(0, 0.2), 0, 1))
        if what.isdigit():
            bass = float(np.clip(0.9 - 0.18 * int(what) + rng.normal(0, 0.1), 0, 1))
        changes = rng.random() > CHANGE_LOST if is_change else rng.random() < CHANGE_ADDED
        heard.append((at, level, bass, lean, changes))
    for _ in range(rng.binomial(len(heard), ADDED)):
        at = float(rng.uniform(heard[0][0], heard[-1][0]))
        heard.append((at, float(rng.normal(-5, 2)), float(rng.uniform(0, 1)), float(rng.normal(0, 1)), False))
    heard.sort()
    columns = [np.array(column, float) for column in zip(*heard, strict=True)]
    return StrokeFeatures(columns[0], columns[1], columns[2], columns[3], columns[4] > 0)


def score(row: PlayedRow, settings: PartSettings | None = None) -> dict[str, float]:
    """Score one row."""
    import mir_eval

    grid = find_grid(row.features, settings=settings or PartSettings())
    if grid is None:
        return {"bars": 0.0, "beats F": 0.0, "downbeats F": 0.0, "metre": 0.0, "tempo": 0.0}
    end_s = row.bars_s[-1] - 0.1
    beats = np.array([at for at in grid.beats_s if at < end_s])
    bars = np.array([at for at in grid.bars_s if at < end_s])
    ratio = abs(np.log2(np.median(np.diff(row.beats_s)) / np.median(np.diff(beats)))) if len(beats) > 2 else 1.0
    return {
        "bars": 1.0,
        "beats F": float(mir_eval.onset.f_measure(np.array(row.beats_s), beats, window=WINDOW_S)[0]),
        "downbeats F": float(mir_eval.onset.f_measure(np.array(row.bars_s[:-1]), bars, window=WINDOW_S)[0]),
        "metre": float(grid.metres[0].signature == row.signature),
        "tempo": float(ratio < 0.1),
    }


def print_table(scored: Sequence[tuple[PlayedRow, dict[str, float]]]) -> None:
    """Print means by manner and by pattern."""
    groups = {"all": [one for _, one in scored]}
    for row, one in scored:
        groups.setdefault(row.manner, []).append(one)
    for row, one in sorted(scored, key=lambda item: item[0].pattern):
        groups.setdefault(f"  {row.pattern}", []).append(one)
    names = list(scored[0][1])
    print(f"{'':28}{'n':>5}" + "".join(f"{name:>13}" for name in names))
    for group, members in groups.items():
        means = "".join(f"{np.mean([one[name] for one in members]):13.3f}" for name in names)
        print(f"{group:28}{len(members):5d}{means}")


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("-n", type=int, default=40, help="rows in each manner")
    parser.add_argument("--seed", type=int, default=0)
    arguments = parser.parse_args()
    rows = [play(arguments.seed + 1000 * k + n, manner) for k, manner in enumerate(MANNERS) for n in range(arguments.n)]
    print_table([(row, score(row)) for row in rows])


if __name__ == "__main__":
    main()
