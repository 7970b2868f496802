"""Grips: movable forms of the trade with one tone a voice, down to the nut, and power chords.

A grip that lies at the nut lets the open strings above it ring where they are tones of the chord.

Conventions: strings counted from the lowest of a guitar's six; degrees as :mod:`listen.voicing.traits` lays them out. A
sixth stands where a seventh would, a fourth where the third would. Common practice, no source.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.theory import Chord
from listen.voicing.shape_table import ShapeTable

_GRIPS = (  # strings, degrees, how much it counts: None is any other tone
    ((0, 2, 3, 4), (1, 7, 3, None), 1.0),
    ((1, 2, 3, 4), (1, 3, 7, None), 1.0),
    ((1, 2, 3, 4), (1, 5, 7, 3), 1.0),
    ((2, 3, 4, 5), (1, 5, 7, 3), 0.8),
)
_STANDS_FOR = {6: 7, 2: 3, 4: 3, 11: 3}
_WIDEST_FRETS = 2  # between a grip's lowest and highest fret
_N_STRINGS = 6

Floats = NDArray[np.float32]


def find_grips(degrees: NDArray[np.int8], frets: NDArray[np.int8], chord: Chord) -> Floats:
    """Tell which shapes are a grip, and how much it counts.

    Parameters
    ----------
    degrees, frets : ndarray, shape (n, n_strings), int8
    chord : Chord

    Returns
    -------
    ndarray, shape (n,), float32, 0..1
    """
    found = np.zeros(len(degrees), np.float32)
    n_more = degrees.shape[1] - _N_STRINGS
    has_fourth_tone = any(tone.degree in (6, 7) for tone in chord.quality.tones)
    if n_more < 0 or not has_fourth_tone or chord.bass is not None:
        return found
    upper, upper_frets = degrees[:, n_more:], frets[:, n_more:]
    standing = upper.copy()
    for degree, place in _STANDS_FOR.items():
        standing[standing == degree] = place
    standing = np.where((standing == 3) & (upper != 3) & (upper == 3).any(axis=1)[:, None], upper, standing)
    lowest = np.where(frets >= 0, frets, np.int8(127)).min(axis=1)  # the nut, where it stops one of the strings
    fits = (degrees[:, :n_more] == 0).all(axis=1) & (frets.max(axis=1) - lowest <= _WIDEST_FRETS)
    for strings, wanted, share in _GRIPS:
        here = fits.copy()
        for string in range(_N_STRINGS):
            if string not in strings:
                rings = (lowest == 0) & (upper_frets[:, string] == 0) & (string > strings[-1])
                here &= (standing[:, string] == 0) | rings
            else:
                asked = wanted[strings.index(string)]
                here &= standing[:, string] == asked if asked else standing[:, string] > 1
        found = np.maximum(found, np.float32(share) * here)
    return found


def find_power_grips(candidates: ShapeTable, chord: Chord) -> Floats:
    """Find root, fifth and octave on three neighbouring strings from the lowest that sounds.

    1 from one of the two lowest strings, 0.5 from the third.
    """
    played = candidates.played
    n_strings = played.shape[1]
    if chord.quality.symbol != "5" or n_strings < 4:
        return np.zeros(len(played), np.float32)
    first = np.minimum(played.argmax(axis=1), n_strings - 3)
    rows = np.arange(len(played))
    low, middle, high = (candidates.pitches[rows, first + step].astype(np.int32) for step in range(3))
    formed = (low % 12 == chord.root.pitch_class) & (middle - low == 7) & (high - low == 12)
    formed &= played.sum(axis=1) == 3
    return np.asarray(formed * np.where(first < 2, 1.0, np.where(first == 2, 0.5, 0.0)), np.float32)
