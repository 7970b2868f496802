"""Faint notes: what stands out of the noise where a note's fundamental would be, though nobody would say it sounds.

A finger that touches a string without pressing it, or a stroke that barely reaches it, leaves the note forty to
seventy decibels under its neighbours: there in a long spectrum, and nowhere for the ear. Whether it is there tells what
the hand held.

Conventions: levels in dB; a *rise* is the height of the highest peak near a pitch above the median of what lies
around it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from listen.audio.peaks import Peaks
from listen.audio.spectrum import NotePhysics
from listen.theory import Pitch

WITHIN_CENTS = (-8.0, 15.0)
"""A string is tuned so well, and a finger pulls it so far sharp."""
COMBINATION_HZ = 1.6
"""Two notes that meet in a body or an amplifier leave sums and differences, a root and fifth one 14 cents below a major
third: a peak this near to such a tone is no string."""
# where the noise beside a pitch is looked at: past its own peak, short of the next; judged
AROUND_CENTS = (40.0, 150.0)
DRIVEN_RISE_DB, DRIVEN_LEVEL_DB = 20.0, -30.0
"""Where the sum of two notes' fundamentals stands out so far, this near to the loudest peak, an amplifier was
overdriven and leaves such tones everywhere. In 8 overdriven power chords sums rise by 24 to 43 dB and lie 12 to 24 dB
under the loudest; in 20 clean strums what rises by 20 dB lies 51 dB under it or more. Of 26 others, driven softly or
hard, all were told from 76 clean ones."""
CLEAR_CENTS, CLEAR_BINS = 35.0, 5.0
"""A harmonic of a sounding note this near hides what is looked for; a Hann window's main lobe is four bins wide."""
LONG_ENOUGH_HZ = 2.0
"""Resolution: under half a second of sound a semitone's leakage hides everything."""
N_HARMONICS = 24


def measure_fundamentals(peaks: Peaks, notes: Sequence[NotePhysics], pitches: Iterable[Pitch]) -> dict[Pitch, float]:
    """Measure how far the fundamentals of pitches stand out that are not known to sound.

    Parameters
    ----------
    peaks : Peaks
        The long spectrum.
    notes : sequence of NotePhysics
        Those that sound.
    pitches : iterable of Pitch

    Returns
    -------
    dict of Pitch to float
        In dB; pitches are missing where a harmonic of a sounding note lies near, all of them where the sound is too
        short or overdriven.
    """
    if peaks.resolution_hz > LONG_ENOUGH_HZ:
        return {}
    sounding_hz = np.array([partial for note in notes for partial in _find_partials_hz(note)])
    tones_hz = _find_combinations_hz(notes)
    levels = 10.0 * np.log10(peaks.power + 1e-18)
    if _is_driven(levels, notes, sounding_hz, peaks.bin_hz):
        return {}
    rises = {}
    for pitch in pitches:
        centre_hz = pitch.frequency_hz
        clear_hz = max(_cents_to_hz(centre_hz, CLEAR_CENTS), CLEAR_BINS * peaks.resolution_hz)
        if len(sounding_hz) and np.abs(sounding_hz - centre_hz).min() < clear_hz:
            continue
        top = _find_top(levels, centre_hz, peaks.bin_hz, tones_hz)
        rises[pitch] = top - _find_floor(levels, centre_hz, peaks.bin_hz)
    return rises


def _find_floor(levels: NDArray[np.float64], centre_hz: float, bin_hz: float) -> float:
    """Return the median level of what lies around a frequency."""
    low, high = AROUND_CENTS
    around = (_take(levels, centre_hz, *cents, bin_hz) for cents in ((-high, -low), (low, high)))
    return float(np.median(np.concatenate(list(around))))


def _is_driven(
    levels: NDArray[np.float64], notes: Sequence[NotePhysics], sounding_hz: NDArray[np.float64], bin_hz: float
) -> bool:
    """Tell whether sums of neighbouring notes' fundamentals stand out, where no harmonic lies near."""
    fundamentals = sorted(_find_partials_hz(note)[0] for note in notes)
    loudest_db = float(levels.max())
    for low, high in pairwise(fundamentals):
        sum_hz = low + high
        if np.abs(sounding_hz - sum_hz).min() < max(_cents_to_hz(sum_hz, CLEAR_CENTS), CLEAR_BINS * bin_hz):
            continue
        place = round(sum_hz / bin_hz)
        top = float(levels[place - 1 : place + 2].max())
        rises = top - _find_floor(levels, sum_hz, bin_hz) >= DRIVEN_RISE_DB
        if rises and top >= loudest_db + DRIVEN_LEVEL_DB:
            return True
    return False


def _find_combinations_hz(notes: Sequence[NotePhysics]) -> NDArray[np.float64]:
    """Return the sums and differences of fundamentals up to the third order."""
    fundamentals = np.array([_find_partials_hz(note)[0] for note in notes])
    orders = ((1, 1), (1, -1), (2, -1), (2, 1))
    return np.concatenate(
        [np.abs(own * fundamentals[:, None] + other * fundamentals).ravel() for own, other in orders] or [np.zeros(0)]
    )


def _find_top(levels: NDArray[np.float64], centre_hz: float, bin_hz: float, tones_hz: NDArray[np.float64]) -> float:
    """Return the level of the highest peak of a string near a frequency, or the level there where no peak is."""
    first, last = (round(centre_hz * 2.0 ** (cents / 1200.0) / bin_hz) for cents in WITHIN_CENTS)
    near = np.arange(first, last + 1)
    is_peak = (levels[near] > levels[near - 1]) & (levels[near] >= levels[near + 1])
    is_peak &= np.abs(near[:, None] * bin_hz - tones_hz).min(axis=1, initial=np.inf) > COMBINATION_HZ
    return float(levels[near[is_peak]].max(initial=levels[round(centre_hz / bin_hz)]))


def _find_partials_hz(note: NotePhysics) -> list[float]:
    """Return where a note's harmonics were found, and where the others must be."""
    cents = note.deviation_cents or 0.0
    fundamental_hz = note.pitch.frequency_hz * 2.0 ** (cents / 1200.0)
    stiffness = 0.0 if note.stiffness is None else float(np.exp(note.stiffness.value))
    found = {partial.number: partial.frequency_hz for partial in note.partials}
    return [
        found.get(number, number * fundamental_hz * float(np.sqrt(1.0 + stiffness * number**2)))
        for number in range(1, N_HARMONICS + 1)
    ]


def _cents_to_hz(centre_hz: float, cents: float) -> float:
    return float(centre_hz * (2.0 ** (cents / 1200.0) - 1.0))


def _take(levels: NDArray[np.float64], centre_hz: float, low: float, high: float, bin_hz: float) -> NDArray[np.float64]:
    """Return the bins between two distances in cents from a frequency."""
    first, last = (centre_hz * 2.0 ** (cents / 1200.0) / bin_hz for cents in (low, high))
    return levels[int(np.floor(first)) : int(np.ceil(last)) + 1]
