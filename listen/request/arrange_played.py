"""Which forms the hand plays over a capo, or on a guitar that is tuned down as a whole."""

from __future__ import annotations

from collections.abc import Sequence

from listen.harmony import measure_shift
from listen.instrument import Fretboard
from listen.theory import Chord, transpose_chord


def say_played(chords: Sequence[Chord], fretboard: Fretboard) -> str:
    """Say what the hand plays for chords that are named as they sound; nothing where it is called the same.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> say_played([parse_chord("Bb"), parse_chord("F")], Fretboard(capo_fret=3))
    ' Over the capo at fret 3 the hand plays G, D.'
    """
    shift = measure_shift(fretboard) % 12
    if not shift:
        return ""
    where = f"Over the capo at fret {fretboard.capo_fret}" if fretboard.capo_fret else "In this tuning"
    return f" {where} the hand plays {', '.join(transpose_chord(chord, -shift).printed for chord in chords)}."
