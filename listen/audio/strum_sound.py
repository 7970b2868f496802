"""One strum's sound, cut out and prepared as every ear wants it: 16 kHz, on pitch, ending where the next begins.

Conventions: inside, times are in samples at 16 kHz from the start of the cut; a recording that is c cents sharp is
stretched by 2^(c/1200), so that its semitones come to lie where A4 = 440 Hz puts them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import EAR_RATE_HZ
from listen.audio.tuning_offset import SURE_OFFSET_CENTS, estimate_tuning_offset
from listen.errors import bad_value
from listen.evidence import TimeSpan

Samples = NDArray[np.float32]

BEFORE_S, AFTER_S = 0.56, 1.6
"""What is taken of the recording around an onset."""


@dataclass(frozen=True, slots=True)
class StrumSound:
    """The sound of one strum.

    Parameters
    ----------
    samples : ndarray, shape (n,)
        16 kHz mono, on pitch, from up to 0.56 s before the onset.
    onset, end : int
        In samples; nothing is heard from ``end`` on.
    span : TimeSpan
        In the recording.
    tuning_offset_cents : float
        What was taken out.
    offset_sigma_cents : float
        How sure that is; 0 where it was known beforehand, and so is not to be refined.
    """

    samples: Samples
    onset: int
    end: int
    span: TimeSpan
    tuning_offset_cents: float
    offset_sigma_cents: float

    @property
    def stretch(self) -> float:
        """By how much frequencies in the recording are higher than here."""
        return float(2.0 ** (self.tuning_offset_cents / 1200.0))

    def cut_segment(self, *, n_lead: int, n_samples: int) -> Samples:
        """Cut what a front end looks at, from `n_lead` samples before the onset on; outside the strum is silence."""
        segment = np.zeros(n_samples, np.float32)
        start = self.onset - n_lead
        piece = self.samples[max(0, start) : min(self.end, start + n_samples)]
        segment[max(0, -start) : max(0, -start) + len(piece)] = piece
        return segment


def take_strum(
    samples: Samples,
    *,
    sample_rate_hz: int,
    onset_s: float,
    until_s: float | None = None,
    tuning_offset_cents: float | None = None,
) -> StrumSound:
    """Cut a strum out of a recording and put it on pitch; arguments as :meth:`listen.audio.Ear.hear`.

    Raises
    ------
    BadValueError
        The onset is not in the recording, or the end not after it.
    """
    duration_s = len(samples) / sample_rate_hz
    if not 0.0 <= onset_s < duration_s:
        raise bad_value("onset", onset_s, allowed=f"a time within the recording's {duration_s:.2f} s")
    end_s = duration_s if until_s is None else min(until_s, duration_s)
    if not end_s > onset_s:
        raise bad_value("until", until_s, allowed=f"a time after the onset at {onset_s:.2f} s")
    first_s = max(0.0, onset_s - BEFORE_S)
    last_s = min(end_s, onset_s + AFTER_S)
    piece = samples[round(first_s * sample_rate_hz) : round(last_s * sample_rate_hz)]
    sigma_cents = 0.0
    if tuning_offset_cents is None:
        heard = resample(piece, sample_rate_hz=sample_rate_hz, to_hz=EAR_RATE_HZ)
        offset = estimate_tuning_offset(heard, sample_rate_hz=EAR_RATE_HZ, onset_s=onset_s - first_s)
        tuning_offset_cents = offset.value if offset.sigma < SURE_OFFSET_CENTS else 0.0
        sigma_cents = offset.sigma
    stretch = 2.0 ** (tuning_offset_cents / 1200.0)
    heard = resample(piece, sample_rate_hz=sample_rate_hz, to_hz=EAR_RATE_HZ * stretch)
    onset = round((onset_s - first_s) * EAR_RATE_HZ * stretch)
    return StrumSound(heard, onset, len(heard), TimeSpan(onset_s, end_s), tuning_offset_cents, sigma_cents)


def resample(samples: Samples, *, sample_rate_hz: float, to_hz: float) -> Samples:
    """Resample, band limited (soxr's high quality)."""
    if sample_rate_hz == to_hz:
        return samples.astype(np.float32, copy=False)
    import soxr

    return np.asarray(soxr.resample(samples.astype(np.float32, copy=False), sample_rate_hz, to_hz, quality="HQ"))
