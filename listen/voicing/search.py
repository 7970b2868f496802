"""Search: every playable shape of a chord on the whole neck.

Conventions: a shape holds only tones of the chord, all that its name requires, and the wanted bass lowest (any tone of
the chord when none is asked); a foreign bass sounds once, lowest. The result is complete and free of duplicates for the
hand it is made for, and ranked in a total order: by what players would show first (:mod:`listen.voicing.taste`), then
lower on the neck, then by frets from the bass side. On a re-entrant stringing no string is the bass: an asked bass
sounds somewhere.

How: the shapes that need no fifth finger are listed (:mod:`listen.voicing.every_shape`) and measured exactly, all
together. Where the hand can hold none with its root, the root goes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.instrument import USUAL_HAND, Fretboard, Hand, measure_efforts
from listen.theory import Chord
from listen.voicing.every_shape import list_shapes
from listen.voicing.filters import ShapeFilters, filter_shapes, refuse_empty
from listen.voicing.shape_table import ShapeTable
from listen.voicing.taste import weigh_taste
from listen.voicing.traits import lowest_stopped
from listen.voicing.voicings import Voicings, open_midi
from listen.voicing.wanted_tones import find_wanted_tones, list_members

_BITS = 6  # of a string's fret in the number that ties are broken by

Frets = NDArray[np.int8]


def find_shapes(
    chord: Chord,
    *,
    fretboard: Fretboard | None = None,
    hand: Hand = USUAL_HAND,
    filters: ShapeFilters | None = None,
) -> Voicings:
    """Find every playable shape of a chord.

    Parameters
    ----------
    chord : Chord
        Its bass must sound lowest where it has one; otherwise any tone may.
    fretboard : Fretboard, optional
        A guitar in standard tuning when not given.
    hand : Hand
    filters : ShapeFilters, optional

    Raises
    ------
    NothingLeftError
        The filters exclude everything (it says which does), or the hand can hold none.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> found = find_shapes(parse_chord("C"))
    >>> found[0].shape.text, found[0].missing, len(found) > 1000
    ('x32010', (), True)
    """
    neck, wanted = fretboard or Fretboard(), filters or ShapeFilters()
    if wanted.bass is not None or wanted.inversion is not None:
        chord = Chord(chord.root, chord.quality, wanted.bass)
    candidates, efforts = _find_playable(chord, neck, hand=hand, filters=wanted)
    kept = filter_shapes(candidates, chord, wanted, what=chord.text)
    candidates, efforts = candidates.take(kept), efforts[kept]
    asked = chord if wanted.inversion is None else _turn(chord, wanted.inversion)
    costs = weigh_taste(candidates, efforts, asked, neck)
    order = _rank(candidates.frets, costs)
    return Voicings(candidates.frets[order], efforts[order], costs[order], chord, neck, hand)


def _find_playable(
    chord: Chord, fretboard: Fretboard, *, hand: Hand, filters: ShapeFilters
) -> tuple[ShapeTable, NDArray[np.float32]]:
    """Find what the hand can hold, with its efforts; without the root where it can hold nothing else."""
    candidates, efforts = _find_with(chord, fretboard, hand=hand, filters=filters, without_root=False)
    if not len(efforts):
        candidates, efforts = _find_with(chord, fretboard, hand=hand, filters=filters, without_root=True)
    if not len(efforts):
        refuse_empty({}, what=chord.text)
    return candidates, efforts


def _find_with(
    chord: Chord, fretboard: Fretboard, *, hand: Hand, filters: ShapeFilters, without_root: bool
) -> tuple[ShapeTable, NDArray[np.float32]]:
    frets = _enumerate(chord, fretboard, hand=hand, filters=filters, without_root=without_root)
    measured = measure_efforts(frets, fretboard, hand=hand)
    candidates = ShapeTable.lay_out(frets[measured.playable], open_midi(fretboard))
    efforts = measured.effort[measured.playable]
    if chord.bass is None or fretboard.tuning.is_reentrant:
        return candidates, efforts
    lowest = candidates.lowest % 12 == chord.bass.pitch_class
    return candidates.take(lowest), efforts[lowest]


def _turn(chord: Chord, inversion: int) -> Chord:
    """Return the chord with the bass of an inversion."""
    return Chord(chord.root, chord.quality, chord.notes[inversion] if inversion else None)


def _rank(frets: Frets, costs: NDArray[np.float32]) -> NDArray[np.int64]:
    """Return the documented order: cost, position, frets from the bass side."""
    number = np.zeros(len(frets), np.int64)
    for string in range(frets.shape[1]):
        number = (number << _BITS) | (frets[:, string] + 1)
    grade = np.round(costs * np.float32(1000)).astype(np.int64) * 64 + lowest_stopped(frets)
    return np.lexsort((number, grade))


def _enumerate(chord: Chord, fretboard: Fretboard, *, hand: Hand, filters: ShapeFilters, without_root: bool) -> Frets:
    """List the shapes that hold the right tones and need no fifth finger, each once."""
    found = []
    for member in list_members(chord):
        wanted = find_wanted_tones(member, filters, n_strings=fretboard.n_strings, without_root=without_root)
        frets = list_shapes(wanted, fretboard, hand=hand)
        if member.bass is not None and member.inversion is None:
            bass = ShapeTable.lay_out(frets, open_midi(fretboard)).sounds(member.bass.pitch_class)
            frets = frets[bass.sum(axis=1) == 1]
        found.append(frets)
    return found[0] if len(found) == 1 else np.unique(np.concatenate(found), axis=0)
