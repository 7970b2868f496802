"""Compare: what changes between two chords of the same root, in tones and under the fingers.

Conventions: a tone *moves* when the other chord has its degree altered (the third lowered) or another tone of its
family in its place (the third raised to a suspended fourth, the seventh lowered to a sixth); what is left over was
dropped or added. Strings are counted as in a shape, the highest-numbered first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from listen.errors import bad_value
from listen.instrument import USUAL_HAND, Fretboard, Hand, Shape
from listen.theory import Chord, Interval
from listen.voicing.search import find_shapes
from listen.voicing.voicings import Voicing

_FAMILIES = ((2, 3, 4), (6, 7))  # degrees that stand in for one another
CHANGED_STRING = 3.0  # against a fret of movement and a point of effort, when the nearest shape is looked for


@dataclass(frozen=True, slots=True)
class ToneChange:
    """What became of one tone.

    Parameters
    ----------
    kind : "kept", "moved", "dropped" or "added"
    before, after : Interval or None
    """

    kind: Literal["kept", "moved", "dropped", "added"]
    before: Interval | None
    after: Interval | None


@dataclass(frozen=True, slots=True)
class StringChange:
    """What one string does differently.

    Parameters
    ----------
    string_index : int
        Into the shape's frets.
    before_fret, after_fret : int or None
    before, after : Interval or None
        The degrees that it sounds; None when not played or no tone of the chord.
    """

    string_index: int
    before_fret: int | None
    after_fret: int | None
    before: Interval | None
    after: Interval | None


def compare_chords(chord: Chord, other: Chord) -> tuple[ToneChange, ...]:
    """Tell which tones of a chord stay, move and go, and which come, in the other chord of the same root.

    Raises
    ------
    BadValueError
        The roots differ.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> changes = compare_chords(parse_chord("C7"), parse_chord("Cmaj9"))
    >>> [(change.kind, str(change.before), str(change.after)) for change in changes if change.kind != "kept"]
    [('moved', 'b7', '7'), ('added', 'None', '9')]
    """
    if chord.root.pitch_class != other.root.pitch_class:
        remedy = f"Compare with {chord.root}{other.quality.symbol}."
        if other.quality == chord.quality:  # it would be the chord itself
            remedy = f"Set apart by a comma, {chord.text}, {other.text}, they are shown one after the other."
        raise bad_value("compare", f"{chord.text} and {other.text}", allowed="chords of the same root", remedy=remedy)
    befores, afters = list(chord.quality.tones), list(other.quality.tones)
    pairs: dict[Interval, Interval] = {}
    for same in (_is_equal, _is_altered, _is_family):
        for before in befores:
            match = next((after for after in afters if after not in pairs.values() and same(before, after)), None)
            if before not in pairs and match is not None:
                pairs[before] = match
    changes = []
    for before in befores:
        after = pairs.get(before)
        if after is None:
            changes.append(ToneChange("dropped", before, None))
        else:
            kept = before.pitch_class == after.pitch_class
            changes.append(ToneChange("kept" if kept else "moved", before, after))
    changes += [ToneChange("added", None, after) for after in afters if after not in pairs.values()]
    return tuple(changes)


def compare_shapes(
    shape: Shape, other_shape: Shape, chord: Chord, other: Chord, fretboard: Fretboard
) -> tuple[StringChange, ...]:
    """Tell which strings change between a shape of one chord and a shape of the other, from the bass side."""
    changes = []
    for index, (before, after) in enumerate(zip(shape.frets, other_shape.frets, strict=True)):
        if before != after:
            degrees = (_find_degree(chord, fretboard, index, before), _find_degree(other, fretboard, index, after))
            changes.append(StringChange(index, before, after, *degrees))
    return tuple(changes)


def find_nearest_shape(shape: Shape, other: Chord, fretboard: Fretboard, *, hand: Hand = USUAL_HAND) -> Voicing:
    """Find the shape of another chord that asks for the least change under the fingers.

    Raises
    ------
    BadValueError
        The hand can hold no shape of the other chord.

    Examples
    --------
    >>> from listen.instrument import parse_shape
    >>> from listen.theory import parse_chord
    >>> find_nearest_shape(parse_shape("x02220"), parse_chord("Am"), Fretboard()).shape.text
    'x02210'
    """
    found = find_shapes(other, fretboard=fretboard, hand=hand)
    frets = np.array([-1 if fret is None else fret for fret in shape.frets], np.int16)
    changed = found.frets != frets
    stopped = changed & (found.frets > 0) & (frets > 0)
    moved = (np.abs(found.frets.astype(np.int16) - frets) * stopped).sum(axis=1)
    distance = CHANGED_STRING * changed.sum(axis=1) + moved + found.costs
    return found[int(distance.argmin())]


def _find_degree(chord: Chord, fretboard: Fretboard, index: int, fret: int | None) -> Interval | None:
    if fret is None:
        return None
    heard = fretboard.pitch_at(index, fret).pitch_class
    named = zip(chord.notes, chord.quality.tones, strict=True)
    return next((tone for note, tone in named if note.pitch_class == heard), None)


def _is_equal(before: Interval, after: Interval) -> bool:
    return before.pitch_class == after.pitch_class


def _is_altered(before: Interval, after: Interval) -> bool:
    return before.degree == after.degree


def _is_family(before: Interval, after: Interval) -> bool:
    return any(before.degree in family and after.degree in family for family in _FAMILIES)
