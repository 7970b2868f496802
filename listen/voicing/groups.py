"""Groups: the shapes of a chord by what a player learns them by.

Conventions: strings are given by their numbers, the thickest first; an inversion by the tone that sounds lowest.
Inside a group the shapes keep their rank.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from listen.instrument import USUAL_HAND, Fretboard, Hand
from listen.theory import Note, parse_chord
from listen.voicing.filters import ShapeFilters
from listen.voicing.search import find_shapes
from listen.voicing.voicings import Voicings
from listen.voicing.wanted_tones import list_members

GroupedBy = Literal["inversion", "strings", "root string"]


@dataclass(frozen=True, slots=True)
class ShapeGroup:
    """Some of a chord's shapes, and what they have in common.

    Parameters
    ----------
    by : "inversion", "strings" or "root string"
    voicings : Voicings
    place : int or None
        Of an inversion: which of the chord's tones sounds lowest, 0 the root; None a bass that is none of them.
    lowest : Note or None
        Of an inversion: that note.
    strings : tuple of int
        Numbers: those that sound, from the thickest; or the one with the lowest root, empty where no root sounds.
    """

    by: GroupedBy
    voicings: Voicings
    place: int | None = None
    lowest: Note | None = None
    strings: tuple[int, ...] = ()


def group_by_inversion(found: Voicings) -> tuple[ShapeGroup, ...]:
    """Group shapes by what sounds lowest, root position first.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> [(group.place, str(group.lowest)) for group in group_by_inversion(find_shapes(parse_chord("C")))]
    [(0, 'C'), (1, 'E'), (2, 'G')]
    """
    lowest = found.pitches.min(axis=1) % 12
    tones: dict[int, tuple[int, Note]] = {}  # of a family's chords those that stand at the same place beside each other
    for member in list_members(found.chord):
        for place, note in enumerate(member.notes):
            tones.setdefault(note.pitch_class, (place, note))
    places: list[tuple[int | None, Note]] = [*sorted(tones.values(), key=lambda tone: tone[0])]
    bass = found.chord.sounding_bass
    if bass.pitch_class not in tones:
        places.append((None, bass))
    return tuple(
        ShapeGroup("inversion", found.take(rows), place, note)
        for place, note in places
        if (rows := lowest == note.pitch_class).any()
    )


def group_by_string_set(found: Voicings) -> tuple[ShapeGroup, ...]:
    """Group shapes by the strings that sound, from the thickest; sets of fewer strings first.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> triads = find_shapes(parse_chord("C"), filters=TRIADS)
    >>> [group.strings for group in group_by_string_set(triads)]
    [(6, 5, 4), (5, 4, 3), (4, 3, 2), (3, 2, 1)]
    """
    played = found.frets >= 0
    n_strings = played.shape[1]
    codes = played @ (1 << np.arange(n_strings))
    sets = {int(code): np.flatnonzero(played[row]) for row, code in enumerate(codes)}
    order = sorted(sets, key=lambda code: (len(sets[code]), sets[code].tolist()))
    return tuple(
        ShapeGroup(
            "strings", found.take(codes == code), strings=tuple(n_strings - int(string) for string in sets[code])
        )
        for code in order
    )


def group_by_root_string(found: Voicings) -> tuple[ShapeGroup, ...]:
    """Group shapes by the string that sounds the lowest root, from the thickest; those without a root last."""
    pitches = found.pitches
    roots = np.where((found.frets >= 0) & (pitches % 12 == found.chord.root.pitch_class), pitches, np.int16(999))
    string = np.where(roots.min(axis=1) < 999, roots.argmin(axis=1), pitches.shape[1])
    groups = []
    for index in np.unique(string).tolist():
        strings = (pitches.shape[1] - index,) if index < pitches.shape[1] else ()
        groups.append(ShapeGroup("root string", found.take(string == index), strings=strings))
    return tuple(groups)


TRIADS = ShapeFilters(n_strings=3, neighbouring=True, all_tones=True, voices="close")
"""Filters for close triads on neighbouring strings."""


def find_power_chords(
    root: Note, *, fretboard: Fretboard | None = None, hand: Hand = USUAL_HAND
) -> tuple[ShapeGroup, ...]:
    """Find the power-chord forms of a root, by root string: root, fifth and octave on neighbouring strings.

    The form changes where the strings are not a fourth apart: rooted on the fourth string of a guitar its octave lies a
    fret higher, since the B string is tuned a third above the G.

    Examples
    --------
    >>> for group in find_power_chords(Note.parse("G")):
    ...     print(group.strings, group.voicings.shapes[0].text)
    (6,) 355xxx
    (5,) x-10-12-12-x-x
    (4,) xx578x
    (3,) xxx033
    """
    chord = parse_chord(f"{root}5")
    found = find_shapes(chord, fretboard=fretboard, hand=hand, filters=ShapeFilters(neighbouring=True, n_strings=3))
    first = (found.frets >= 0).argmax(axis=1)
    rows = np.arange(len(found))
    low, middle, high = (found.pitches[rows, first + step].astype(np.int32) for step in range(3))
    formed = (low % 12 == root.pitch_class) & (middle - low == 7) & (high - low == 12)
    if not formed.any():
        two = ShapeFilters(neighbouring=True, n_strings=2, bass=root)
        return group_by_root_string(find_shapes(chord, fretboard=fretboard, hand=hand, filters=two))
    return group_by_root_string(found.take(formed))
