"""A lone note below what is listened for, told by its harmonics.

Of a note below A1 the ear hears the second, third and fourth harmonic and takes them for an octave and a fifth: a power
chord. But a root and its fifth sound multiples of two and of three of the note an octave under the root, and nothing at
the fifth, seventh, eleventh and thirteenth multiple; a lone low note sounds all of them alike.
A root and fifth that are overdriven have them as well, by intermodulation, but weaker, and next to nothing at the note
an octave under the root itself, which a low note has unless a small loudspeaker or microphone lost it.
Where a bass guitar plays the root of a major chord under the barre on the sixth string, all notes of the chord are
harmonics of the low one; but of a lone low note the ear hears four of them at most, and there all six.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from listen.audio.peaks import Peaks
from listen.evidence import LOWEST_HEARD
from listen.theory import Pitch

LOWEST = Pitch.parse("A0")
OWN, SHARED = ((5, 7), (5, 7, 11, 13)), ((6,), (6, 12))
"""Multiples that only a low note has, and those beside them that a root and fifth have as well: near, and over all."""
LEAST_EVEN_DB, LEAST_EVEN_WITHOUT_DB, LEAST_FUNDAMENTAL_DB = -22.0, 2.0, -13.0
"""How loud the first are against the second, the mean of both comparisons, where the note's own fundamental is so loud
against its loudest harmonic, and where it is not. 65 low notes (13 FluidR3 guitars and basses, E1 to A♭1) have −10.5 or
more, half of them 2 or more, and fundamentals of −10 or more; with the octave above struck as well, which is louder in
every second multiple, −20.4 or more. Of 66 power chords and major chords under the barre on
the sixth string those that are not overdriven have −26 or less, 43 that are have up to −1.8, but fundamentals of −20 or
less."""
SILENT_DB, ABOVE_NOISE_DB = -70.0, 10.0
BELOW_CENTS, ABOVE_CENTS, ABOVE_CENTS_EACH, WITHIN_HZ = 25.0, 25.0, 1.2, 0.5
"""Where a multiple is looked for: stiffness raises the higher ones."""
MOST_MULTIPLE = 12
MOST_HEARD = 4
"""How many notes the ear takes a lone low note for: of 118 (FluidR3 and TimGM6mb, GM programs 25 to 44, D1 to G♯1, a
third of them in octaves) none for more. In 98 barre chords over such a note it heard six each time."""
NEAR_SEMITONES = 0.35


def find_low_note(peaks: Peaks, sounding: Sequence[Pitch]) -> Pitch | None:
    """Find the note below :data:`~listen.evidence.LOWEST_HEARD` whose harmonics are all that sounds.

    Parameters
    ----------
    peaks : Peaks
    sounding : sequence of Pitch
        What the ear takes to sound.

    Returns
    -------
    Pitch or None
    """
    return next((note for note in find_low_candidates(sounding) if _sounds_alone(peaks, note)), None)


def find_low_candidates(sounding: Sequence[Pitch]) -> list[Pitch]:
    """Find the notes below what is heard of which everything that is heard may be a harmonic.

    Examples
    --------
    >>> [note.name for note in find_low_candidates([Pitch.parse("E2"), Pitch.parse("B2")])]
    ['E1']
    >>> find_low_candidates([Pitch.parse(name) for name in ("E2", "B2", "E3", "G#3", "B3", "E4")])
    []
    """
    if not 0 < len(sounding) <= MOST_HEARD:
        return []
    lowest = min(sounding)
    notes = [Pitch(lowest.midi - below) for below in (12, 19)]  # it may be the second harmonic, or the third
    return [
        note for note in notes if LOWEST <= note < LOWEST_HEARD and all(_is_multiple(pitch, note) for pitch in sounding)
    ]


def _sounds_alone(peaks: Peaks, note: Pitch) -> bool:
    """Tell whether a note has all of its harmonics alike."""
    levels = {number: _find_level_db(peaks, note, number) for number in range(1, MOST_MULTIPLE + 2)}
    if max(levels[number] for number in OWN[0]) <= SILENT_DB:
        return False
    even = [
        float(np.mean([levels[number] for number in own]) - np.mean([levels[number] for number in shared]))
        for own, shared in zip(OWN, SHARED, strict=True)
    ]
    has_fundamental = levels[1] - max(levels.values()) >= LEAST_FUNDAMENTAL_DB
    return sum(even) / len(even) > (LEAST_EVEN_DB if has_fundamental else LEAST_EVEN_WITHOUT_DB)


def _is_multiple(pitch: Pitch, note: Pitch) -> bool:
    ratio = 2.0 ** ((pitch.midi - note.midi) / 12.0)
    nearest = round(ratio)
    return 2 <= nearest <= MOST_MULTIPLE and abs(12.0 * math.log2(ratio / nearest)) < NEAR_SEMITONES


def _find_level_db(peaks: Peaks, note: Pitch, number: int) -> float:
    """Return the level of the strongest peak where a multiple must be."""
    centre_hz = note.frequency_hz * number
    low_hz = centre_hz * 2.0 ** (-BELOW_CENTS / 1200.0) - WITHIN_HZ
    high_hz = centre_hz * 2.0 ** ((ABOVE_CENTS + ABOVE_CENTS_EACH * number) / 1200.0) + WITHIN_HZ
    first, last = np.searchsorted(peaks.frequencies_hz, [low_hz, high_hz])
    levels = peaks.levels_db[first:last]
    clear = levels[levels - peaks.noise_db[first:last] >= ABOVE_NOISE_DB]
    return float(clear.max(initial=SILENT_DB))
