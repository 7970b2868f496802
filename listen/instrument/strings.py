"""String physics by kind of guitar: stiffness, decay, how they change along the neck, and how far guitars differ.

One table serves listening back, the fixtures, the training simulator, and whoever asks on which string a note was
stopped. Conventions: six kinds of string, heavy to light (:data:`listen.evidence.STRING_KINDS`); stiffness is
Fletcher's inharmonicity coefficient B (no unit) of the open string at its nominal pitch; decay is the time in which
the fundamental falls by 60 dB; spreads are standard deviations of ln B.

References
----------
Fletcher, "Normal vibration frequencies of a stiff piano string", JASA 36(1), 1964: B = π³·Q·d⁴ / (64·l²·T).
Bastas, Koutoupis, Kaliakatsos-Papakostas, Katsouros, Maragos, "A few-sample strategy for guitar tablature transcription
based on inharmonicity analysis and playability constraints", ICASSP 2022: B of the strings of GuitarSet.
Woodhouse, "Plucked guitar transients: comparison of measurements and synthesis", Acta Acustica united with Acustica 90,
2004, table of a nylon set's tension and bending stiffness (from memory); B = π²·EI / (T·l²).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from listen.errors import bad_value
from listen.theory import Pitch

GuitarKind = Literal["steel", "nylon", "electric"]
NOMINAL_MIDI = (40, 45, 50, 55, 59, 64)  # what the six kinds of string sound when open in standard tuning
RETUNING_LIMIT_SEMITONES = 6  # further off, it must be another gauge of string
RETUNING_NEPERS = math.log(2.0) / 6.0  # by which ln B falls for a semitone up: B goes with 1/T and T with f²
SET_SIGMA, STRING_SIGMA = 0.35, 0.35
"""Of a whole set against its table, and of one string against its set. On 194 strums whose strings are known (nylon,
acoustic, drawn; pitches given) mean -ln p of the true place is .39, with 0.5 for the one or the other .41 and .45, with
0.5 for both .47; at 0.2 and 0.35 it is .37, which fewer guitars would fit."""
TABLE_SIGMA = math.hypot(SET_SIGMA, STRING_SIGMA)  # of one string against its table
OUTLIER_AT_ZERO, OUTLIER_PER_SIGMA, MOST_OUTLIERS = 0.04, 1.5, 0.9
"""Share of measurements that followed another note's partials. Of 922 notes in strums of 24 drawn guitars 2 % of those
with a sigma under 0.1 lay more than half a neper off, 4 % of those up to 0.3, 17 % up to 0.8 and 58 % above."""
OUTLIER_WIDTH = 6.0  # nepers of ln B: where such a measurement lies, anywhere among all strings and frets


@dataclass(frozen=True, slots=True)
class StringTable:
    """The six strings of one kind of guitar, heavy to light.

    Parameters
    ----------
    stiffness : tuple of float, length 6
        B of the open string.
    decay_s : tuple of float, length 6
        Time for the fundamental of the open string to fall by 60 dB.
    decay_slope : float
        How much faster a partial at 1 kHz decays than one near 0 Hz, minus one (see
        :func:`listen.synthesis.pluck.decay_rates`).
    decay_curve : float
        The same for the term in frequency squared.
    contact_hz : float
        Upper corner of what a pick or finger gives to the string (finger flesh is soft).
    pickup_position : float or None
        Distance of the pickup from the bridge over the open string's length; None where a body radiates the sound.
    """

    stiffness: tuple[float, ...]
    decay_s: tuple[float, ...]
    decay_slope: float
    decay_curve: float
    contact_hz: float
    pickup_position: float | None = None


# Stiffness: steel as published for GuitarSet (Bastas et al. 2022); electric computed by Fletcher's formula for a
# .010-.046 set with a plain third string (core diameters from makers' tables, Q = 200 GPa, 648 mm). Nylon: the set
# measured by Woodhouse 2004 (from memory) gives 1.9e-5, 1.3e-5, 1.7e-5, 1.2e-4, 7.0e-5, 4.3e-5, Fletcher's formula with
# Q = 3-5 GPa about 1e-4, 4e-5, 2e-5 for the trebles: the table lies between.
# Decay: common practice, no source; open strings of recorded guitars ring so long to within a factor of two.
STRING_TABLES: dict[GuitarKind, StringTable] = {
    "steel": StringTable(
        stiffness=(1.4e-4, 9.3e-5, 5.1e-5, 3.0e-5, 6.1e-5, 2.2e-5),
        decay_s=(9.0, 8.0, 7.0, 6.0, 5.0, 4.0),
        decay_slope=0.8,
        decay_curve=0.12,
        contact_hz=6000.0,
    ),
    "nylon": StringTable(
        stiffness=(2.1e-5, 1.6e-5, 1.8e-5, 1.1e-4, 5.5e-5, 3.2e-5),
        decay_s=(6.0, 5.5, 5.0, 3.0, 2.7, 2.4),
        decay_slope=1.6,
        decay_curve=0.35,
        contact_hz=2200.0,
    ),
    "electric": StringTable(
        stiffness=(1.5e-4, 8.1e-5, 6.1e-5, 1.2e-4, 4.4e-5, 1.5e-5),
        decay_s=(12.0, 11.0, 10.0, 9.0, 8.0, 7.0),
        decay_slope=0.5,
        decay_curve=0.05,
        contact_hz=5500.0,
        pickup_position=0.2,
    ),
}


def find_string_table(guitar: str) -> StringTable:
    """Return the strings of a kind of guitar.

    Raises
    ------
    BadValueError
        There is no such kind of guitar.
    """
    for kind, table in STRING_TABLES.items():
        if kind == guitar:
            return table
    raise bad_value("guitar", guitar, allowed=" or ".join(STRING_TABLES))


def find_string_kinds(open_pitches: Sequence[Pitch]) -> tuple[int, ...]:
    """Return which of the six kinds each open string is, 0 the heaviest.

    Six strings are the six kinds in their order; on another instrument each string is the kind whose nominal pitch is
    nearest.

    Examples
    --------
    >>> find_string_kinds([Pitch(m) for m in (67, 60, 64, 69)])
    (5, 4, 5, 5)
    """
    if len(open_pitches) == len(NOMINAL_MIDI):
        return tuple(range(len(NOMINAL_MIDI)))
    return tuple(
        min(range(len(NOMINAL_MIDI)), key=lambda kind: abs(NOMINAL_MIDI[kind] - pitch.midi)) for pitch in open_pitches
    )


def fretted_stiffness(open_stiffness: float, fret: float) -> float:
    """Return B of a stopped string: B goes with 1/l², so it doubles in six frets (Fletcher 1964).

    Examples
    --------
    >>> fretted_stiffness(1e-4, 12) / 1e-4
    4.0
    """
    return float(open_stiffness * 2.0 ** (fret / 6.0))


def retuned_stiffness(table: StringTable, kind: int, open_midi: float) -> float:
    """Return B of an open string tuned away from its nominal pitch: B goes with 1/T and T with f²."""
    off = open_midi - NOMINAL_MIDI[kind]
    if abs(off) > RETUNING_LIMIT_SEMITONES:
        return table.stiffness[kind]
    return float(table.stiffness[kind] * math.exp(-RETUNING_NEPERS * off))


def fretted_decay_s(open_decay_s: float, fret: float) -> float:
    """Return the decay of a stopped string: shorter up the neck (common practice: about halved in 24 frets)."""
    return open_decay_s * math.exp2(-fret / 24.0)


def outlier_share(sigma: float) -> float:
    """Return the probability that a measured ln B of this sigma followed another note's partials.

    Examples
    --------
    >>> round(outlier_share(0.1), 2), outlier_share(2.0)
    (0.19, 0.9)
    """
    return min(MOST_OUTLIERS, OUTLIER_AT_ZERO + OUTLIER_PER_SIGMA * sigma)


def stiffness_log_density(value: float, *, expected: float | None, spread: float, sigma: float) -> float:
    """Return the log-density of a measured ln B on a string, outliers allowed for.

    Parameters
    ----------
    value, sigma : float
        As measured.
    expected : float or None
        ln B of the string at the fret; None where nothing is known of it.
    spread : float
        By how much what was measured may be off what is expected, all in all.

    Examples
    --------
    >>> round(stiffness_log_density(-9.0, expected=-9.1, spread=0.15, sigma=0.05), 1)
    0.6
    """
    outliers = outlier_share(sigma)
    density = 1.0 / OUTLIER_WIDTH
    if expected is not None:
        distance = (value - expected) / spread
        density = math.exp(-0.5 * distance * distance) / (spread * math.sqrt(2.0 * math.pi))
    return math.log((1.0 - outliers) * density + outliers / OUTLIER_WIDTH)
