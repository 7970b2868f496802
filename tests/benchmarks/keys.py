"""Score key finding on the chorales bundled with music21, and changes of key: ``python -m tests.benchmarks.keys``.

It takes some minutes. Changes are those of rows of our own (:mod:`.key_rows`), phrases of four bars.

The corpus states no keys. Two things stand in for them: what music21's own finders say, and the last bass note with the
mode whose third sounds longer (a chorale ends at home; a convention, not a statement of the corpus).
"""

from __future__ import annotations

import argparse
import random
from collections import Counter
from dataclasses import dataclass

import music21.corpus

from listen.theory import find_key_path, rank_keys
from tests.benchmarks.key_rows import MOVES, KeyRow, draw_row_in_one_key
from tests.benchmarks.naming import expected_calibration_error

FINDERS = ("KrumhanslSchmuckler", "AardenEssen", "BellmanBudge", "TemperleyKostkaPayne")

Home = tuple[int, str]


@dataclass(frozen=True, slots=True)
class Chorale:
    """Durations by pitch class, the keys that music21 finds, and the final."""

    weights: tuple[float, ...]
    found: dict[str, Home]
    final: Home


def load_chorales(n_chorales: int) -> list[Chorale]:
    """Read the first so many chorales of the corpus."""
    chorales = []
    for path in sorted(map(str, music21.corpus.getComposer("bach")))[:n_chorales]:
        score = music21.corpus.parse(path)
        weights = [0.0] * 12
        for note in score.flatten().notes:
            for pitch in note.pitches:
                weights[pitch.pitchClass] += float(note.duration.quarterLength)
        keys = {finder: score.analyze(finder) for finder in FINDERS}
        bass = score.parts[-1].flatten().notes[-1].pitches[0].pitchClass
        mode = "major" if weights[(bass + 4) % 12] > weights[(bass + 3) % 12] else "minor"
        found = {finder: (key.tonic.pitchClass, key.mode) for finder, key in keys.items()}
        chorales.append(Chorale(tuple(weights), found, (bass, mode)))
    return chorales


def score_path(row: KeyRow) -> str:
    """Say what was found of the changes in a row: all ``right``, some ``missed``, or ``false``: one that is not there.

    A key and its relative are one here, since they have one scale.
    """
    _, *changes = find_key_path(row.bars, phrases=range(0, len(row.bars), 4))
    found = {(one.first, one.keys[0].key.pitch_classes) for one in changes}
    meant = {(first, key.pitch_classes) for first, key in row.keys[1:]}
    return "false" if found - meant else "missed" if meant - found else "right"


def print_changes(n_rows: int) -> None:
    """Print what was found of so many rows of each kind."""
    print(f"\n| {n_rows} rows of each kind | right | missed | false |\n|---|---|---|---|")
    for kind, draw in {"in one key, with temptations": draw_row_in_one_key, **MOVES}.items():
        counts = Counter(score_path(draw(random.Random(f"{kind} {seed}"))) for seed in range(n_rows))
        print(f"| {kind} | {' | '.join(f'{counts[one] / n_rows:.3f}' for one in ('right', 'missed', 'false'))} |")


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--chorales", type=int, default=400)
    parser.add_argument("--rows", type=int, default=200)
    asked = parser.parse_args()
    if asked.chorales:
        print_chorales(asked.chorales)
    if asked.rows:
        print_changes(asked.rows)


def print_chorales(n_chorales: int) -> None:
    """Print how many chorales are in the key of their final."""
    chorales = load_chorales(n_chorales)
    readings = [rank_keys(chorale.weights)[0] for chorale in chorales]
    ours = [(reading.key.tonic.pitch_class, reading.key.mode) for reading in readings]
    pairs = list(zip(ours, chorales, strict=True))
    print(f"| {len(chorales)} chorales | same as ours | same as the final |\n|---|---|---|")
    for finder in FINDERS:
        same = sum(home == chorale.found[finder] for home, chorale in pairs) / len(pairs)
        final = sum(chorale.found[finder] == chorale.final for chorale in chorales) / len(pairs)
        print(f"| music21 {finder} | {same:.3f} | {final:.3f} |")
    at_home = [home == chorale.final for home, chorale in pairs]
    print(f"| ours | – | {sum(at_home) / len(pairs):.3f} |")
    outcomes = [(reading.probability, right) for reading, right in zip(readings, at_home, strict=True)]
    print(f"| calibration error of ours | – | {expected_calibration_error(outcomes):.3f} |")


if __name__ == "__main__":
    main()
