"""Write ``listen/voicing/book.txt``, the prior over common shapes: ``python -m tests.regenerate_book``.

Sources: the open shape data in ``tests/data/chords-db`` (MIT) and the trade's movable forms (common practice, no
source). The grades are round numbers on purpose: a prior that says "common", "listed", "unusual", not a fit.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import product
from pathlib import Path
from typing import Any

from listen.instrument import STANDARD

PLAIN = ("major", "minor", "7", "m7", "maj7", "sus2", "sus4", "7sus4", "dim", "aug", "6", "m6", "9", "add9", "m9")
PLAIN_FIRST, PLAIN_LISTED, LISTED, FORM = 4.0, 3.0, 2.0, 2.5
MAX_FRET = 21
MAX_FORM_STRETCH = 4
TRIADS = ((0, 4, 7), (0, 3, 7), (0, 3, 6), (0, 4, 8), (0, 5, 7))  # major, minor, diminished, augmented, suspended
OPEN_POWER = (
    (0, 2, -1, -1, -1, -1), (0, 2, 2, -1, -1, -1), (-1, 0, 2, -1, -1, -1), (-1, 0, 2, 2, -1, -1),
    (-1, -1, 0, 2, -1, -1), (-1, -1, 0, 2, 3, -1),
)  # fmt: skip
SHELLS = (
    "3x33xx", "3x34xx", "3x44xx", "x3x34x", "x3x35x", "x3x45x", "x313xx", "x323xx", "x324xx",
)  # fmt: skip
"""Root, third and seventh of a minor, dominant and major seventh chord on strings 6-4-3, 5-3-2 and 5-4-3, as rhythm
guitarists of jazz hold them (common practice, no source)."""
NINTH = "x3233x"
"""The form in which a ninth chord is held most often (common practice, no source)."""
FOUR_STRINGS = (
    "x3223x", "x3232x", "x3534x", "x3535x", "x3545x", "x3536x", "x3555x", "x3554x", "x35355", "x3333x",
    "3x333x", "3x343x", "3x321x", "353455",
)  # fmt: skip
"""Four strings of a chord with all that a hand holds of it, where the data has them as six under a barre only or not at
all, over a root on the fifth string and on the sixth; thirteenths under a barre (common practice, no source)."""
SONG_FORMS = (
    "320033", "3x0033", "022033", "x32033", "x02033", "x20033", "3x0003", "3x0233", "xx4232", "2x0232", "200232",
    "x02200", "x02230", "xx0233", "xx0230", "022200", "x33010", "x30010", "xx3210", "xx3211", "x03210", "133xxx",
    "355xxx", "xx0235", "x02400", "022400", "021200", "x21202", "x20003", "x00232", "x00231",
    "x13311", "x13341", "x1331x",
)  # fmt: skip
"""Grips of songs: open ones where fingers stay while the bass walks, suspended barres (common practice, no source)."""
HERE = Path(__file__).parent
HEAD = (
    "# Common shapes: frets (highest-numbered string first) and grade in nats. See listen/voicing/book.py for sources."
)


def _read_listed(data: dict[str, Any]) -> dict[tuple[int, ...], float]:
    grades: dict[tuple[int, ...], float] = {}
    for chords in data["chords"].values():
        for chord in chords:
            for place, position in enumerate(chord["positions"]):
                frets = tuple(fret if fret <= 0 else fret + position["baseFret"] - 1 for fret in position["frets"])
                if max(frets) > MAX_FRET:
                    continue
                plain = chord["suffix"] in PLAIN
                grade = (PLAIN_FIRST if place == 0 else PLAIN_LISTED) if plain else LISTED
                grades[frets] = max(grade, grades.get(frets, 0.0))
    return grades


def _find_power_forms() -> set[tuple[int, ...]]:
    opens = [pitch.midi for pitch in STANDARD.open_strings]
    forms = set()
    for root_string, above in product(range(3), ((7,), (7, 12), (5,))):
        root = opens[root_string] + 3
        frets = [-1] * 6
        frets[root_string] = 3
        for step, interval in enumerate(above, start=1):
            frets[root_string + step] = root + interval - opens[root_string + step]
        forms.add(tuple(frets))
    return forms


def _find_triad_forms() -> set[tuple[int, ...]]:
    opens = [pitch.midi for pitch in STANDARD.open_strings]
    forms = set()
    for triad, inversion, first in product(TRIADS, range(3), range(4)):
        tones = sorted((tone + 12 if place < inversion else tone) for place, tone in enumerate(triad))
        base = opens[first] + 7 - tones[0]
        frets = [-1] * 6
        for string, tone in zip(range(first, first + 3), tones, strict=True):
            frets[string] = base + tone - opens[string]
        held = [fret for fret in frets if fret != -1]
        if max(held) - min(held) <= MAX_FORM_STRETCH:
            forms.add(tuple(fret - min(held) + 1 if fret != -1 else -1 for fret in frets))
    return forms


def render_book(leave_out: Callable[[str], bool] = lambda _key: False) -> str:
    """Render the whole file, or what is left of it without the data's shapes for some roots."""
    data = json.loads((HERE / "data" / "chords-db" / "guitar.json").read_text(encoding="utf-8"))
    chords = {name: [each for each in listed if not leave_out(each["key"])] for name, listed in data["chords"].items()}
    grades = _read_listed({"chords": chords})
    for form in _find_power_forms() | _find_triad_forms() | set(OPEN_POWER):
        grades[form] = max(FORM, grades.get(form, 0.0))
    for texts, grade in ((SHELLS, FORM), (FOUR_STRINGS, FORM), ((NINTH,), PLAIN_FIRST), (SONG_FORMS, PLAIN_LISTED)):
        for text in texts:
            frets = tuple(-1 if sign == "x" else int(sign) for sign in text)
            grades[frets] = max(grade, grades.get(frets, 0.0))
    lines = [
        "-".join("x" if fret < 0 else str(fret) for fret in frets) + f" {grade:g}"
        for frets, grade in sorted(grades.items())
    ]
    return "\n".join([HEAD, *lines]) + "\n"


def main() -> None:
    path = HERE.parent / "listen" / "voicing" / "book.txt"
    path.write_text(render_book(), encoding="utf-8")
    print(f"written to {path}")


if __name__ == "__main__":
    main()
