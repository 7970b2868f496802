"""Grips that a reader of careless strums must leave alone, and strokes that are careless: shapes with known truth.

Conventions: frets by string, low E first, None not played. All grips are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.draws import Draw, Drawn
from tests.benchmarks.hands import OPEN_MIDI, TOP_FRET, Frets, can_be_held, frets_to_pitches
from tests.benchmarks.vocabulary import find_exact_readings

TRIADS = ((0, 4, 7), (0, 3, 7), (0, 3, 6), (0, 4, 8))
TRIAD_SHARES = (0.4, 0.4, 0.1, 0.1)
WITHOUT_THIRD = [
    "3x0033",
    "x022xx",
    "xx0235",
    "3x003x",
    "x799xx",
    "x577xx",
    "133xxx",
    "xx023x",
    "x022x0",
    "022xx0",
]
SUSPENDED = [
    "xx0230",
    "xx0233",
    "x02200",
    "x02230",
    "022200",
    "x33011",
    "3x0013",
    "113311",
    "x13311",
    "x13341",
    "x02030",
    "xx3011",
]
SONG_FORMS = [
    "022033",
    "x32033",
    "320033",
    "x02033",
    "200233",
    "x20033",
    "3x0233",
    "xx4232",
    "x02010",
    "x32010",
    "x02100",
]
DRONES = [
    "079900",
    "077600",
    "x07600",
    "x09900",
    "xx0775",
    "xx0779",
    "x02400",
    "x04600",
    "x79800",
    "xx2400",
    "022400",
]
OPEN_CHORDS = [
    "x32010",
    "xx0232",
    "022100",
    "320003",
    "320033",
    "x02220",
    "x02210",
    "022000",
    "xx0231",
    "133211",
    "x24432",
    "x21202",
    "x32310",
    "020100",
    "x02020",
    "xx0212",
]
"""Chords of a first year, for careless strokes."""
ONE_OUTER, ONE_INNER, TWO = 0.55, 0.35, 0.10  # shares of careless strokes: what did not sound


@dataclass(frozen=True, slots=True)
class Careless:
    """A chord that was held, and what of it the stroke sounded.

    Parameters
    ----------
    held : Frets
    sounded : Frets
    """

    held: Frets
    sounded: Frets


def parse_grip(text: str) -> Frets:
    """Read frets as players write them, one digit a string.

    Examples
    --------
    >>> parse_grip("x32010")
    (None, 3, 2, 0, 1, 0)
    """
    return tuple(None if sign == "x" else int(sign) for sign in text)


def name_grip(frets: Frets) -> Drawn:
    """Name a grip by its exact reading over its lowest note, where there is just one over that note."""
    pitches = frets_to_pitches(frets)
    readings = [root for root, _ in find_exact_readings(frozenset(p % 12 for p in pitches)) if root == pitches[0] % 12]
    return Drawn(frets, readings[0] if len(readings) == 1 else None)


def one_of(grips: Sequence[str]) -> Draw:
    """Return a draw of these grips; those without open strings are moved along the neck."""

    def draw(random: np.random.Generator) -> Drawn:
        frets = parse_grip(grips[int(random.integers(len(grips)))])
        stopped = [fret for fret in frets if fret is not None]
        if min(stopped) > 0:
            by = int(random.integers(1 - min(stopped), min(7, TOP_FRET - max(stopped)) + 1))
            frets = tuple(None if fret is None else fret + by for fret in frets)
        return name_grip(frets)

    return draw


def draw_triad(random: np.random.Generator) -> Drawn:
    """Draw a close triad or inversion on three neighbouring strings."""
    while True:
        low, root = int(random.integers(0, 4)), int(random.integers(12))
        tones = list(TRIADS[random.choice(len(TRIADS), p=TRIAD_SHARES)])
        turned = int(random.integers(3))
        order = [*tones[turned:], *(tone + 12 for tone in tones[:turned])]
        frets: list[int | None] = [None] * 6
        lowest = OPEN_MIDI[low] + (root + order[0] - OPEN_MIDI[low]) % 12
        for step, tone in enumerate(order):
            frets[low + step] = lowest + tone - order[0] - OPEN_MIDI[low + step]
        held = tuple(frets)
        if all(fret is None or 0 <= fret <= TOP_FRET for fret in held) and can_be_held(held):
            return Drawn(held, root)


def draw_careless(random: np.random.Generator) -> Careless:
    """Draw a chord of a first year and leave out a string or two; three strings at least sound."""
    held = parse_grip(OPEN_CHORDS[random.integers(len(OPEN_CHORDS))])
    played = [string for string, fret in enumerate(held) if fret is not None]
    kind = random.choice(3, p=(ONE_OUTER, ONE_INNER, TWO))
    if kind == 0:
        silent = [played[0] if random.random() < 0.5 else played[-1]]
    elif kind == 1:
        silent = [int(random.choice(played[1:-1]))]
    else:
        silent = [int(string) for string in random.choice(played, size=2, replace=False)]
    if len(played) - len(silent) < 3:
        silent = silent[:1]
    return Careless(held, tuple(None if string in silent else fret for string, fret in enumerate(held)))
