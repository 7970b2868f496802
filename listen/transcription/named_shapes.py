"""Shapes that sound what a strum is named: name and shape are ranked apart, and a reader takes the first of each.

The name that is likeliest may be one of many shapes, none of which is the likeliest shape; whoever reads G5 beside the
diagram of a whole G is told two things.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.instrument import Fretboard, Shape
from listen.reading import ShapeReading, Shares
from listen.theory import Chord, Interval
from listen.voicing import grade_shapes

FIFTH = Interval(5)
OTHERS_SHARE = 0.1
"""What is left of probability for shapes that sound just what was heard, beside those that a hand holds for the chord.
On 1,064 chords of played parts .847 have the shape that was held by what sounds alone, .897 so, at .02, .1 and .3."""


def rank_named_first(shapes: tuple[ShapeReading, ...], chord: Chord, fretboard: Fretboard) -> tuple[ShapeReading, ...]:
    """Rank first the best shape that sounds a chord whole; the others keep their order.

    Parameters
    ----------
    shapes : tuple of ShapeReading
        Best first.
    chord : Chord
    fretboard : Fretboard

    Returns
    -------
    tuple of ShapeReading
        What each side says is told against the rivals of the new order; as it was where no shape sounds the chord.
    """
    first = next((place for place, one in enumerate(shapes) if sounds_named(one.shape, chord, fretboard)), 0)
    if first == 0:
        return shapes
    order = [first, *(place for place in range(len(shapes)) if place != first)]
    said = [Shares(0.0, 0.0, 0.0), *(one.why for one in shapes[1:])]  # each against the first of the old order
    now_at = {place: rank for rank, place in enumerate(order)}
    return tuple(
        replace(
            shapes[place],
            why=_subtract(said[place], said[order[0] if rank else order[1]]),
            same_sound=tuple(sorted(now_at[other] for other in shapes[place].same_sound)),
        )
        for rank, place in enumerate(order)
    )


def put_held_first(
    shapes: tuple[ShapeReading, ...], held: tuple[ShapeReading, ...], chord: Chord, fretboard: Fretboard
) -> tuple[ShapeReading, ...]:
    """Put the shapes first that a hand holds for a chord, where strokes may have left some of their strings out.

    Nobody holds 0x2000 through a part for E minor: a hand holds 022000, and its fifth string was never heard.

    Parameters
    ----------
    shapes : tuple of ShapeReading
        That sound as they are held, best first.
    held : tuple of ShapeReading
        That may sound in part, best first.
    chord : Chord
        What is held.
    fretboard : Fretboard

    Returns
    -------
    tuple of ShapeReading
        Those of `held` that have the chord's tones over its bass, then the others; `shapes` where there is none.
    """
    first = [one for one in held if not one.brushed and sounds_named(one.shape, chord, fretboard)]
    if not first:
        return shapes
    scale = (1.0 - OTHERS_SHARE) / sum(one.probability for one in first)
    known = {one.shape for one in first}
    others = [replace(one, probability=OTHERS_SHARE * one.probability) for one in shapes if one.shape not in known]
    ranked = [replace(one, probability=scale * one.probability) for one in first] + others
    return tuple(replace(one, same_sound=()) for one in ranked)


def sounds_named(shape: Shape, chord: Chord, fretboard: Fretboard) -> bool:
    """Return whether a whole shape is the chord, over its own bass where the lowest string is a bass.

    It is, too, without a perfect fifth that the chord may lose, where the book has that shape: 3x34xx for G7.
    """
    tones, bass = _find_tones(shape, fretboard)
    over_bass = not fretboard.tuning.bears_bass or bass == chord.sounding_bass.pitch_class
    if not over_bass or tones == chord.pitch_classes:
        return over_bass
    fifth = (chord.root.pitch_class + FIFTH.pitch_class) % 12
    is_without = FIFTH in chord.quality.optional and tones == chord.pitch_classes - {fifth}
    return is_without and _is_in_book(shape, fretboard)


def _is_in_book(shape: Shape, fretboard: Fretboard) -> bool:
    frets = np.array([[-1 if fret is None else fret for fret in shape.frets]], np.int8)
    return bool(grade_shapes(frets, fretboard.tuning, partial=False)[0] > 0.0)


def _find_tones(shape: Shape, fretboard: Fretboard) -> tuple[frozenset[int], int]:
    """Return the pitch classes of a whole shape, and that of its lowest string."""
    pitches = [pitch for pitch in shape.pitches(fretboard) if pitch is not None]
    return frozenset(pitch.pitch_class for pitch in pitches), min(pitches).pitch_class


def _subtract(one: Shares, rival: Shares) -> Shares:
    return Shares(one.ear - rival.ear, one.hand - rival.hand, one.book - rival.book, one.stroke - rival.stroke)
