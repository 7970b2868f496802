"""What stands first: the ranking against common practice and open data, and print the table.

    python -m tests.benchmarks.first_shapes            the table
    python -m tests.benchmarks.first_shapes --list     and every chord whose shape does not stand first

Sources: ``tests/data/first_shapes`` (common practice, no source, written before the ranking was worked on), and the
first position of each chord in the open data of ``tests/data/chords-db`` (MIT) for 25 qualities on 12 roots. The roots
of :data:`LEFT_OUT` are out of everything that was set by counting (the weights of :mod:`listen.voicing.taste`, and for
their rows here also the book), and are reported apart.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from listen.instrument import Fretboard, find_instrument, parse_shape
from listen.theory import Chord, parse_chord
from listen.voicing import NothingLeftError, find_shapes
from tests.benchmarks.book_without import use_book_without
from tests.benchmarks.shapes import INSTRUMENTS, load_entries

ANSWERS = Path(__file__).parents[1] / "data" / "first_shapes" / "answers.txt"
QUALITIES_25 = (
    "major", "minor", "7", "m7", "maj7", "sus2", "sus4", "7sus4", "dim", "aug", "6", "m6", "9", "add9", "m9",
    "dim7", "m7b5", "mmaj7", "69", "maj9", "11", "13", "7b9", "7#9", "aug7",
)  # fmt: skip
LEFT_OUT = frozenset(("Db", "E", "G", "Bb", "C#", "A#"))  # every third root, as the data spells them


@dataclass(frozen=True, slots=True)
class Question:
    """A chord and the shapes that answer it.

    Parameters
    ----------
    tuning, chord : str
    answers : tuple of str
        Any of them may stand first.
    """

    tuning: str
    chord: str
    answers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """Where the answer stands.

    Parameters
    ----------
    question : Question
    place : int or None
        From 1; None where it is absent.
    first : str
        What stands first instead.
    """

    question: Question
    place: int | None
    first: str


def read_answers() -> tuple[Question, ...]:
    """Read the table of common practice."""
    rows = [line.split("\t") for line in ANSWERS.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return tuple(Question(tuning, chord, tuple(shapes.split(" | "))) for tuning, chord, shapes in rows)


def read_open_data(name: str) -> tuple[Question, ...]:
    """Read the first position of each chord of the 25 qualities in the open data."""
    seen: set[tuple[str, str]] = set()
    questions = []
    for entry in load_entries(name):
        if entry.suffix not in QUALITIES_25 or (entry.key, entry.suffix) in seen:
            continue
        seen.add((entry.key, entry.suffix))
        questions.append(Question(INSTRUMENTS[name], entry.chord.text, (entry.shape.text,)))
    return tuple(questions)


@cache
def _neck(tuning: str) -> Fretboard:
    return find_instrument(tuning).fretboard()


@cache
def _rank(chord: Chord, tuning: str) -> tuple[str, ...]:
    try:
        return tuple(shape.text for shape in find_shapes(chord, fretboard=_neck(tuning)).shapes)
    except NothingLeftError:
        return ()


def place_answer(question: Question) -> Placed:
    """Find where the best of the answers stands in what the search ranks."""
    ranked = _rank(parse_chord(question.chord), question.tuning)
    wanted = {parse_shape(text, fretboard=_neck(question.tuning)).text for text in question.answers}
    place = next((number for number, text in enumerate(ranked, start=1) if text in wanted), None)
    return Placed(question, place, ranked[0] if ranked else "")


def count_places(placed: Iterable[Placed]) -> tuple[int, int, int, int, int]:
    """Count first, within three, within eight, absent, all."""
    places = [each.place for each in placed]
    within = [sum(place is not None and place <= most for place in places) for most in (1, 3, 8)]
    return within[0], within[1], within[2], sum(place is None for place in places), len(places)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--list", action="store_true", help="list every chord whose shape does not stand first")
    asked = parser.parse_args()
    answers = read_answers()
    guitar = {"standard", "drop D", "DADGAD", "open G", "open D"}
    rows: list[tuple[str, list[Placed]]] = [("common practice, all", [place_answer(each) for each in answers])]
    for tuning in dict.fromkeys("guitar" if each.tuning in guitar else each.tuning for each in answers):
        chosen = [each for each in rows[0][1] if each.question.tuning in (guitar if tuning == "guitar" else {tuning})]
        rows.append((f"common practice, {tuning}", chosen))
    for name in INSTRUMENTS:
        questions = read_open_data(name)
        placed = [place_answer(each) for each in questions]
        apart = [each for each in questions if str(parse_chord(each.chord).root) in LEFT_OUT]
        _rank.cache_clear()
        with use_book_without(frozenset(parse_chord(each.chord).root.pitch_class for each in apart)):
            unseen = [place_answer(each) for each in apart]
        _rank.cache_clear()
        rows += [(f"open {name} data, all roots", placed), (f"open {name} data, roots left out", unseen)]
    print(f"| {'':36} | first | in 3  | in 8  | absent | of   |\n|{'-' * 38}|------:|------:|------:|-------:|-----:|")
    for label, placed in rows:
        first, three, eight, absent, n = count_places(placed)
        print(f"| {label:36} | {first / n:.3f} | {three / n:.3f} | {eight / n:.3f} | {absent / n:6.3f} | {n:4} |")
    if asked.list:
        for label, placed in (rows[0], *(row for row in rows if row[0].endswith("all roots"))):
            print(f"\n{label}")
            for each in placed:
                if each.place != 1:
                    wanted = " | ".join(each.question.answers)
                    where = "absent" if each.place is None else f"{each.place}"
                    print(
                        f"  {each.question.tuning}: {each.question.chord:10} {wanted:24} {where:>6}, first {each.first}"
                    )


if __name__ == "__main__":
    main()
