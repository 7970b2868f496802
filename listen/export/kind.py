"""Chords as MusicXML's ``harmony`` says them: a kind, and degrees that are added, altered or taken away.

References
----------
W3C Music Notation Community Group, *MusicXML 4.0*, elements ``kind``, ``degree``, ``degree-alter``: an altered degree
is counted against the one in the kind, an added one against a dominant chord (major and perfect, the seventh minor).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from listen.theory import ChordQuality, Interval

DegreeType = Literal["add", "alter", "subtract"]
_KINDS = """
major: 1 3 5
minor: 1 b3 5
augmented: 1 3 #5
diminished: 1 b3 b5
dominant: 1 3 5 b7
major-seventh: 1 3 5 7
minor-seventh: 1 b3 5 b7
diminished-seventh: 1 b3 b5 bb7
augmented-seventh: 1 3 #5 b7
half-diminished: 1 b3 b5 b7
major-minor: 1 b3 5 7
major-sixth: 1 3 5 6
minor-sixth: 1 b3 5 6
dominant-ninth: 1 3 5 b7 9
major-ninth: 1 3 5 7 9
minor-ninth: 1 b3 5 b7 9
dominant-11th: 1 3 5 b7 9 11
major-11th: 1 3 5 7 9 11
minor-11th: 1 b3 5 b7 9 11
dominant-13th: 1 3 5 b7 9 11 13
major-13th: 1 3 5 7 9 11 13
minor-13th: 1 b3 5 b7 9 11 13
suspended-second: 1 2 5
suspended-fourth: 1 4 5
power: 1 5
"""


@dataclass(frozen=True, slots=True)
class Degree:
    """A tone against the kind.

    Parameters
    ----------
    value : int
    alter : int
        Semitones.
    type : "add", "alter" or "subtract"
    """

    value: int
    alter: int
    type: DegreeType


def _read(text: str) -> dict[int, int]:
    return {tone.degree: tone.alteration for tone in map(Interval.parse, text.split())}


_TABLE: tuple[tuple[str, dict[int, int]], ...] = tuple(
    (name, _read(tones)) for name, tones in (line.split(": ") for line in _KINDS.strip().splitlines())
)
# What each change to a kind costs against the others: fewest and plainest changes win; judged.
_COST: dict[DegreeType, float] = {"add": 1.0, "alter": 1.5, "subtract": 1.2}
_ADDED_SEVENTH = 3.0  # readers do not agree whether an added seventh counts from the minor or the major one: avoided


@lru_cache(maxsize=512)
def quality_to_kind(quality: ChordQuality) -> tuple[str, tuple[Degree, ...]]:
    """Return the kind that needs fewest degrees beside it.

    Examples
    --------
    >>> from listen.theory import find_quality
    >>> quality_to_kind(find_quality("m7")), quality_to_kind(find_quality("add9"))
    (('minor-seventh', ()), ('major', (Degree(value=9, alter=0, type='add'),)))
    >>> quality_to_kind(find_quality("7b5"))
    ('dominant', (Degree(value=5, alter=-1, type='alter'),))
    """
    tones = {tone.degree: tone.alteration for tone in quality.tones}
    found = [(name, _find_degrees(tones, base)) for name, base in _TABLE]
    return min(found, key=lambda item: sum(map(_cost, item[1])))


def _cost(degree: Degree) -> float:
    return _ADDED_SEVENTH if degree.value == 7 and degree.type == "add" else _COST[degree.type]


def _find_degrees(tones: dict[int, int], base: dict[int, int]) -> tuple[Degree, ...]:
    degrees = []
    for value in sorted({*tones, *base}):
        if value not in tones:
            degrees.append(Degree(value, 0, "subtract"))
        elif value not in base:
            degrees.append(Degree(value, tones[value] + (1 if value == 7 else 0), "add"))
        elif tones[value] != base[value]:
            degrees.append(Degree(value, tones[value] - base[value], "alter"))
    return tuple(degrees)
