"""Places: notes as they sound, and everywhere they can be held.

Conventions: each note is held on a string of its own; strings that hold none are left out. Ranked by effort, then lower
on the neck, then by frets from the bass side.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.errors import bad_value
from listen.instrument import USUAL_HAND, Fretboard, Hand, Shape, measure_efforts
from listen.theory import Pitch


def find_places(
    pitches: Sequence[Pitch], *, fretboard: Fretboard | None = None, hand: Hand = USUAL_HAND, playable: bool = True
) -> tuple[Shape, ...]:
    """Find every shape that sounds exactly these pitches, each as often as it is given.

    Parameters
    ----------
    pitches : sequence of Pitch
        In any order; a pitch given twice is held on two strings.
    fretboard : Fretboard, optional
        A guitar in standard tuning when not given.
    hand : Hand
    playable : bool
        Whether to leave out what the hand cannot hold.

    Raises
    ------
    BadValueError
        No note, more notes than strings, or a note that no string has.

    Examples
    --------
    >>> notes = [Pitch.parse(name) for name in ("E3", "G3", "C4")]
    >>> [shape.text for shape in find_places(notes)[:3]]
    ['xx201x', 'x-7-10-0-x-x', '12-10-10-x-x-x']
    """
    neck = fretboard or Fretboard()
    rows = _list_places(sorted(pitches), neck)
    measured = measure_efforts(rows, neck, hand=hand)
    kept = measured.playable if playable else np.ones(len(rows), bool)
    rows, efforts = rows[kept], measured.effort[kept]
    lowest = np.where(rows > 0, rows, np.int8(127)).min(axis=1, initial=127)
    keys = [rows[:, string] for string in range(rows.shape[1] - 1, -1, -1)]
    order = np.lexsort((*keys, lowest, np.round(efforts, 3)))
    return tuple(Shape(tuple(None if fret < 0 else fret for fret in row)) for row in rows[order].tolist())


def _list_places(pitches: Sequence[Pitch], fretboard: Fretboard) -> NDArray[np.int8]:
    """List every way to give each pitch a string of its own."""
    n_strings = fretboard.n_strings
    named = " ".join(pitch.name for pitch in pitches)
    if not 1 <= len(pitches) <= n_strings:
        raise bad_value("notes", named or "(none)", allowed=f"1 to {n_strings} notes, one for each string")
    open_midi = np.array([pitch.midi for pitch in fretboard.open_pitches])
    for pitch in pitches:
        if not ((pitch.midi >= open_midi) & (pitch.midi <= open_midi + fretboard.top_fret)).any():
            raise bad_value(
                "notes", pitch.name, allowed="notes that a string of this neck has",
                remedy=f"It reaches from {_lowest(fretboard).name} to {_highest(fretboard).name}.",
            )  # fmt: skip
    places: dict[tuple[tuple[int, ...], tuple[int, ...]], None] = {((), tuple(pitch.midi for pitch in pitches)): None}
    for string, open_string in enumerate(open_midi.tolist()):
        after: dict[tuple[tuple[int, ...], tuple[int, ...]], None] = {}
        for row, left in places:
            if len(left) < n_strings - string:
                after[(*row, -1), left] = None
            for index, midi in enumerate(left):
                if 0 <= midi - open_string <= fretboard.top_fret:
                    after[(*row, midi - open_string), left[:index] + left[index + 1 :]] = None
        places = after
    return np.array([row for row, left in places if not left], np.int8).reshape(-1, n_strings)


def _lowest(fretboard: Fretboard) -> Pitch:
    return min(fretboard.open_pitches)


def _highest(fretboard: Fretboard) -> Pitch:
    return max(fretboard.open_pitches).shifted(fretboard.top_fret)
