"""A bass that steps on under a chord that stays: Am, Am/G#, Am/G, Am/F#, though alone the last is called F#m7b5."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.reading import ChordName, StrumReading

MOST_STEP = 2  # semitones of a bass that moves by step
AS_PROBABLE = 0.01  # names so near to the first fit as well
PLAIN = ("", "m", "5", "7", "maj7", "m7")  # qualities that are written whatever stands before: Fmaj7, not Am/F


def name_over_moving_basses(held: Sequence[frozenset[int]], readings: Sequence[StrumReading]) -> list[StrumReading]:
    """Put first the name that keeps the chord beside it, where only the bass moved by step and the name fits as well.

    Parameters
    ----------
    held : sequence of frozenset of int
        MIDI numbers of each chord, in time order.
    readings : sequence of StrumReading
        Of the same chords.
    """
    named = list(readings)
    for place, reading in enumerate(readings):
        for beside in (place - 1, place + 1):
            if 0 <= beside < len(named) and named[beside].names and _moves_by_step(held[place], held[beside]):
                named[place] = replace(reading, names=_put_first(reading.names, named[beside].names[0]))
                if named[place].names != reading.names:
                    break
    return named


def _moves_by_step(own: frozenset[int], other: frozenset[int]) -> bool:
    low, high = sorted((min(own, default=0), min(other, default=0)))
    return 0 < high - low <= MOST_STEP and own - {low, high} == other - {low, high}


def _put_first(names: tuple[ChordName, ...], beside: ChordName) -> tuple[ChordName, ...]:
    """Put the name of the chord beside before those that are no surer, unless the first is plain."""
    if not names or names[0].chord.quality.symbol in PLAIN:
        return names
    own = next((name for name in names if _is_upper(name, beside)), None)
    if own is None or own.probability < names[0].probability - AS_PROBABLE:
        return names
    return (own, *(name for name in names if name is not own))


def _is_upper(name: ChordName, beside: ChordName) -> bool:
    return name.chord.root == beside.chord.root and name.chord.quality == beside.chord.quality
