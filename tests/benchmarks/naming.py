"""Score the names of notes: ``python -m tests.benchmarks.naming``.

The notes are those of the open guitar shapes in tests/data/chords-db, exactly as the data gives them, so that only the
naming is measured. A name is *right* when its tones and its bass are what sounds; a perfect fifth may be missing. The
book's own name is *exact* by the same rule; two or more names are for about four shapes in ten.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from listen.harmony import rank_names
from listen.reading import ChordName
from listen.theory import QUALITIES, Interval, Note, Pitch, find_quality

BOOK = Path(__file__).parent.parent / "data" / "chords-db" / "guitar.json"
# The data's suffixes whose spelling is not this project's; a suffix with a slash is a triad over a bass.
SYMBOLS = {
    "major": "", "minor": "m", "alt": "(b5)", "69": "6/9", "aug7": "7#5", "aug9": "9#5", "m69": "m6/9",
    "mmaj7": "m(maj7)",
    "mmaj7b5": "dim(maj7)", "mmaj9": "m(maj9)", "mmaj11": "m(maj11)", "madd9": "m(add9)",
}  # fmt: skip
VOCABULARY = tuple(quality for quality in QUALITIES if len(quality.tones) > 2 and not quality.members)
FIFTH = Interval(5)
BIN_EDGES = tuple(step / 10 for step in range(11))

Reading = tuple[int, str]


@dataclass(frozen=True, slots=True)
class BookShape:
    """What one shape of the book sounds, and what the book calls it: root and symbol."""

    pitches: tuple[Pitch, ...]
    name: Reading

    @property
    def sounding(self) -> frozenset[int]:
        """The pitch classes."""
        return frozenset(pitch.pitch_class for pitch in self.pitches)

    @property
    def bass(self) -> int:
        """The lowest pitch class."""
        return min(self.pitches).pitch_class


def load_book() -> Iterator[BookShape]:
    """Read every shape whose suffix stands for a quality of the table."""
    for chords in json.loads(BOOK.read_text(encoding="utf-8"))["chords"].values():
        for chord in chords:
            suffix: str = chord["suffix"]
            symbol = SYMBOLS.get(suffix, suffix)
            if "/" in suffix:
                symbol = "m" if suffix.startswith("m") else ""
            if symbol and find_quality(symbol) is None:
                continue
            root = Note.parse(chord["key"]).pitch_class
            for position in chord["positions"]:
                yield BookShape(tuple(map(Pitch, position["midi"])), (root, symbol))


def is_right(name: ChordName, shape: BookShape) -> bool:
    """Tell whether tones and bass of a name are what sounds, a fifth apart."""
    tones = name.chord.pitch_classes
    fifth = {name.chord.root.above(FIFTH).pitch_class} if FIFTH in name.chord.quality.tones else set()
    same_bass = name.chord.sounding_bass.pitch_class == shape.bass
    return same_bass and shape.sounding <= tones and tones - shape.sounding <= fifth


def find_exact_readings(shape: BookShape) -> set[Reading]:
    """Find every reading of the whole table that is exact, its bass one of its tones."""
    found = set()
    for root in shape.sounding:
        heard = {(pitch_class - root) % 12 for pitch_class in shape.sounding}
        for quality in VOCABULARY:
            tones = set(quality.pitch_classes)
            if heard <= tones and tones - heard <= ({7} if FIFTH in quality.optional else set()):
                found.add((root, quality.symbol))
    return found


def main() -> None:
    """Print the table."""
    shapes = list(load_book())
    started = time.process_time()
    named = [rank_names(shape.pitches) for shape in shapes]
    spent_ms = 1000 * (time.process_time() - started) / len(shapes)
    right = sum(bool(names) and is_right(names[0], shape) for names, shape in zip(named, shapes, strict=True))
    exact = book_first = book_in_three = readings = readings_in_three = 0
    agreement: list[tuple[float, bool]] = []
    for names, shape in zip(named, shapes, strict=True):
        given = [(name.chord.root.pitch_class, name.chord.quality.symbol) for name in names]
        agreement.append((names[0].probability if names else 0.0, given[:1] == [shape.name]))
        found = find_exact_readings(shape)
        if shape.name in found:
            exact += 1
            book_first += given[:1] == [shape.name]
            book_in_three += shape.name in given[:3]
        if len(found) <= 3:
            readings += len(found)
            readings_in_three += len(found & set(given[:3]))
    print(f"| {len(shapes)} shapes of the book | |\n|---|---|")
    print(f"| first name right | {right / len(shapes):.4f} |")
    print(f"| book's name, where exact ({exact}): first | {book_first / exact:.4f} |")
    print(f"| book's name, where exact: in the first three | {book_in_three / exact:.4f} |")
    print(f"| exact readings, where at most three: in the first three | {readings_in_three / readings:.4f} |")
    print(f"| calibration error against the book's name | {expected_calibration_error(agreement):.4f} |")
    print(f"| CPU time a set, ms | {spent_ms:.3f} |")


def expected_calibration_error(outcomes: list[tuple[float, bool]]) -> float:
    """Measure how far probabilities lie from what happens, in ten equal bins (Naeini, Cooper & Hauskrecht 2015)."""
    error = 0.0
    for low, high in pairwise(BIN_EDGES):
        inside = [(p, happened) for p, happened in outcomes if low <= p < high or (high == 1.0 and p == 1.0)]
        error += abs(sum(p for p, _ in inside) - sum(happened for _, happened in inside)) / len(outcomes)
    return error


if __name__ == "__main__":
    main()
