"""Forms: what every method teaches first, open at the nut and under a barre along the neck.

Common practice, no source: the E, A and D forms of the plain qualities, and the C and G forms where they lie open.
Written for a barre at the first fret (the index stands where the nut was); the open one is the same form a fret lower.
Strings are a guitar's, so in another tuning the forms hold where the sounding strings have a guitar's distances.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.evidence import N_PITCHES
from listen.instrument import STANDARD, Tuning
from listen.voicing.book_tables import N_BOOK_STRINGS, move_down, pack_frets
from listen.voicing.retuned_forms import have_standard_distances

_MOVABLE = """
133211 133111 131211 131111 132211 133311 131311 132111 131213
x1232x x13331 x13321 x13131 x13121 x13231 x13341 x13311 x13141 x13221
"""
_AT_THE_NUT = """
022100 022000 020100 020000 021100 022200 020200 022120 022020 020102 020002
x02220 x02210 x02020 x02010 x02120 x02230 x02200 x02030 x02222 x02212 x02110
xx0232 xx0231 xx0212 xx0211 xx0222 xx0233 xx0230 xx0213 xx0202 xx0201 xx0221
x32010 x32310 x32000 320003 330013 320001 320002 x21202 xx3211 xx3210
"""
LEAST_BARRED = 5  # fretted strings: more than the hand has fingers

Frets = NDArray[np.int8]


def are_forms(frets: Frets, tuning: Tuning) -> NDArray[np.bool_]:
    """Tell which shapes are forms.

    Parameters
    ----------
    frets : ndarray, shape (n, n_strings), int8
        Highest-numbered string first; -1 not played.
    tuning : Tuning

    Examples
    --------
    >>> from listen.instrument import STANDARD
    >>> rows = np.array([[3, 5, 5, 4, 3, 3], [0, 2, 2, 1, 0, 0], [0, 2, 2, 1, 0, 4]], np.int8)
    >>> are_forms(rows, STANDARD).tolist()
    [True, True, False]
    """
    n_extra = tuning.n_strings - N_BOOK_STRINGS
    if n_extra < 0 or not len(frets):
        return np.zeros(len(frets), bool)
    upper = frets[:, n_extra:]
    movable, at_the_nut = _load_forms()
    is_moved = (upper != 0).all(axis=1) & np.isin(pack_frets(move_down(upper)), movable)
    return np.asarray((is_moved | np.isin(pack_frets(upper), at_the_nut)) & have_standard_distances(frets, tuning))


def have_open_forms(frets: Frets) -> NDArray[np.bool_]:
    """Tell which barred shapes are chords that a form with open strings gives where they are at home, too.

    Parameters
    ----------
    frets : ndarray, shape (n, 6), int8
        Counted from the nut or the capo; -1 not played.

    Examples
    --------
    >>> rows = np.array([[3, 5, 5, 4, 3, 3], [3, 2, 0, 0, 0, 3], [1, 3, 3, 2, 1, 1]], np.int8)
    >>> have_open_forms(rows).tolist()  # G has 320003; F is held under a barre at the nut as well
    [True, False, False]
    """
    is_barred = (frets != 0).all(axis=1) & ((frets > 0).sum(axis=1) >= LEAST_BARRED)
    return np.asarray(is_barred & np.isin(_number_chords(frets), _load_open_chords()))


@cache
def _load_open_chords() -> NDArray[np.int64]:
    forms = _split(_AT_THE_NUT)
    return _number_chords(forms[(forms == 0).any(axis=1)])


def _number_chords(frets: Frets) -> NDArray[np.int64]:
    """Return a number for what each shape sounds at the nut: all tones, a bit each, and the lowest one."""
    pitches = np.where(frets >= 0, frets + np.array([pitch.midi for pitch in STANDARD.open_strings]), 0)
    lowest = np.where(frets >= 0, pitches, N_PITCHES).min(axis=1, initial=N_PITCHES) % 12
    tones = np.where(frets >= 0, np.left_shift(1, pitches % 12), 0)
    return np.asarray(np.bitwise_or.reduce(tones, axis=1) + (lowest << 12), np.int64)


@cache
def _load_forms() -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    return pack_frets(_split(_MOVABLE)), pack_frets(_split(_AT_THE_NUT))


def _split(text: str) -> Frets:
    return np.array([[-1 if fret == "x" else int(fret) for fret in word] for word in text.split()], np.int8)
