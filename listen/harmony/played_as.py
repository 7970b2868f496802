"""What the hand sees: the form that is held where capo or tuning moves every string by the same amount.

Conventions: names are sounding; ``played_as`` is the name that the same shape has on a neck in standard tuning without
a capo. Capo 3 and a G shape sound B♭, played as G; a guitar tuned down a half step and a G shape sound F♯, played as G.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.instrument import STANDARD, Fretboard
from listen.reading import ChordName
from listen.theory import transpose_chord


def measure_shift(fretboard: Fretboard) -> int:
    """Return by how many semitones every string sounds above the neck that the hand knows.

    A capo counts in every tuning. The tuning itself counts where it is standard shifted as a whole; drop tunings and
    open tunings have forms of their own.

    Examples
    --------
    >>> measure_shift(Fretboard(capo_fret=3))
    3
    """
    strings = fretboard.tuning.open_strings
    shift = 0
    if len(strings) == STANDARD.n_strings:
        shifts = {low.midi - known.midi for low, known in zip(strings, STANDARD.open_strings, strict=True)}
        shift = shifts.pop() if len(shifts) == 1 else 0
    return shift + fretboard.capo_fret


def name_played(names: Sequence[ChordName], fretboard: Fretboard) -> tuple[ChordName, ...]:
    """Return the names with the form that the hand sees; None where it is called the same.

    Examples
    --------
    >>> from listen.harmony import rank_names
    >>> from listen.theory import Pitch
    >>> (name, *_) = name_played(rank_names([Pitch(midi) for midi in (50, 58, 65)]), Fretboard(capo_fret=3))
    >>> name.text, name.played_as.text
    ('Bb/D', 'G/B')
    """
    shift = measure_shift(fretboard) % 12
    if shift == 0:
        return tuple(replace(name, played_as=None) for name in names)
    return tuple(replace(name, played_as=transpose_chord(name.chord, -shift)) for name in names)
