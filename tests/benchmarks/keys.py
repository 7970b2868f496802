"""Score key finding on the chorales bundled with music21: ``python -m tests.benchmarks.keys`` (some minutes).

The corpus states no keys. Two things stand in for them: what music21's own finders say, and the last bass note with the
mode whose third sounds longer (a chorale ends at home; a convention, not a statement of the corpus).
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

import music21.corpus

from listen.theory import rank_keys
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


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--chorales", type=int, default=400)
    chorales = load_chorales(parser.parse_args().chorales)
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
