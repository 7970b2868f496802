"""Evidence of one strum: which pitches sound, and their physics.

Conventions: seconds from the start of the recording; cents against the tempered pitch *after* the recording's tuning
offset is taken out; log-odds are natural logarithms, calibrated so that 1/(1+exp(-x)) is a probability. Evidence
knows pitches and the physics of what sounded, never which string or tuning was used: the nearest it comes is to say
which *kind* of string a note sounded like (wound and heavy, or plain and light).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from listen.theory import Pitch

Direction = Literal["down", "up"]
STRING_KINDS = (
    "sixth",
    "fifth",
    "fourth",
    "third",
    "second",
    "first",
)  # of a standard guitar set, heavy to light


LOWEST_HEARD, HIGHEST_HEARD = Pitch.parse("A1"), Pitch.parse("E6")
"""The lowest and the highest pitch that are listened for; what sounds below shows in its harmonics alone."""


@dataclass(frozen=True, slots=True)
class TimeSpan:
    """A stretch of a recording.

    Parameters
    ----------
    start_s, end_s : float
        Seconds from the start of the recording.
    """

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured quantity and how sure it is.

    Parameters
    ----------
    value : float
    sigma : float
        One standard deviation, in the same unit.
    """

    value: float
    sigma: float


@dataclass(frozen=True, slots=True)
class Partial:
    """One harmonic of a note as it was found in the spectrum.

    Parameters
    ----------
    number : int
        1 the fundamental.
    frequency_hz : float
    level_db : float
        Against the strongest partial of the strum, at most 0.
    shared : bool
        Whether another sounding note has a harmonic at the same place, so that this peak proves little.
    """

    number: int
    frequency_hz: float
    level_db: float
    shared: bool = False


@dataclass(frozen=True, slots=True)
class PitchEvidence:
    """How strongly one pitch was heard, and the physics of it.

    Parameters
    ----------
    pitch : Pitch
    log_odds : float
        That it sounds.
    bass_log_odds : float
        That it is the lowest sounding note.
    string_log_odds : tuple of float, length 6, or None
        For each kind of string (:data:`STRING_KINDS`), the log-odds that such a string sounds this pitch rather than
        staying silent; -inf where it cannot. None where the ear has no opinion.
    deviation_cents : float or None
        Against the tempered pitch, the recording's offset taken out.
    onset_s : Measured or None
        Against the first note of the strum.
    stiffness, brightness, decay_s : Measured or None
        Inharmonicity coefficient B (natural logarithm of it), spectral tilt in dB an octave, time to fall by 60 dB.
    partials : tuple of Partial
        Its harmonics as found.
    rise_db : float or None
        Of a pitch that is not taken to sound: how far its fundamental stands out of what lies around, in dB; None where
        a harmonic of a sounding note hides it.
    """

    pitch: Pitch
    log_odds: float
    bass_log_odds: float
    string_log_odds: tuple[float, ...] | None = None
    deviation_cents: float | None = None
    onset_s: Measured | None = None
    stiffness: Measured | None = None
    brightness: Measured | None = None
    decay_s: Measured | None = None
    partials: tuple[Partial, ...] = ()
    rise_db: float | None = None

    @property
    def probability(self) -> float:
        """That it sounds, 0..1."""
        return 1.0 / (1.0 + math.exp(-max(-60.0, min(60.0, self.log_odds))))


@dataclass(frozen=True, slots=True)
class StrumEvidence:
    """Everything that was heard of one strum.

    Parameters
    ----------
    span : TimeSpan
    pitches : tuple of PitchEvidence
        Every pitch that the ear knows, low to high, sounding or not.
    tuning_offset_cents : float
        Of the recording against A4 = 440 Hz.
    direction : "down", "up" or None
        None when it cannot be told.
    no_chord_reason : str or None
        One sentence where there is nothing to name (silence, noise, no pitched sound).
    """

    span: TimeSpan
    pitches: tuple[PitchEvidence, ...]
    tuning_offset_cents: float = 0.0
    direction: Direction | None = None
    no_chord_reason: str | None = None
