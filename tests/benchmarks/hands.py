"""Which shapes a hand can hold, by a plain rule that is not the program's own model.

Conventions: frets by string, low E first, None not played; standard tuning, no capo. The rule is common practice: four
fingers, one of them may lie as a barre at the lowest fret, a reach of four frets (five above fret 7), one inner string
left out at most.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

Frets = tuple[int | None, ...]
OPEN_MIDI = (40, 45, 50, 55, 59, 64)
TOP_FRET = 15  # the recorded single notes end near MIDI 86


def frets_to_pitches(frets: Frets) -> tuple[int, ...]:
    """Return the distinct MIDI numbers that sound, low to high.

    Examples
    --------
    >>> frets_to_pitches((None, 3, 2, 0, 1, 0))
    (48, 52, 55, 60, 64)
    """
    return tuple(sorted({OPEN_MIDI[string] + fret for string, fret in enumerate(frets) if fret is not None}))


def can_be_held(frets: Frets) -> bool:
    """Tell whether an ordinary hand holds it."""
    played = [string for string, fret in enumerate(frets) if fret is not None]
    stopped = {string: fret for string, fret in enumerate(frets) if fret}
    if not played or sum(frets[string] is None for string in range(played[0], played[-1])) > 1:
        return False
    if not stopped:
        return True
    lowest, highest = min(stopped.values()), max(stopped.values())
    if highest > TOP_FRET or highest - lowest > (4 if lowest > 7 else 3):
        return False
    fingers = len(stopped)
    at_lowest = [string for string, fret in stopped.items() if fret == lowest]
    if len(at_lowest) > 1 and all(frets[string] != 0 for string in range(at_lowest[0], at_lowest[-1] + 1)):
        fingers -= len(at_lowest) - 1
    return fingers <= 4


def find_places(pitches: tuple[int, ...]) -> Iterator[Frets]:
    """Find every way to hold exactly these pitches, one a string."""
    for strings in itertools.permutations(range(len(OPEN_MIDI)), len(pitches)):
        frets: list[int | None] = [None] * len(OPEN_MIDI)
        for string, pitch in zip(strings, pitches, strict=True):
            frets[string] = pitch - OPEN_MIDI[string]
        if all(fret is None or 0 <= fret <= TOP_FRET for fret in frets) and can_be_held(tuple(frets)):
            yield tuple(frets)
