"""A hummed note: its pitch, whatever the octave, or why there is none.

The fundamental is followed by probabilistic YIN (librosa's ``pyin``); the note is the median of its longest steady run.

References
----------
M. Mauch and S. Dixon, "pYIN: A fundamental frequency estimator using probabilistic threshold distributions", ICASSP
2014.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

LOWEST_HZ, HIGHEST_HZ = 65.0, 700.0  # C2 to F5: from a low man's to a child's voice
RATE_HZ = 16_000
FRAME = 2048
STEADY_CENTS = 60.0  # from the run's own median: vibrato stays within, a glide and speech do not
STEADY_S = 0.25  # judged: shorter runs are speech's vowels
SILENCE_DB = -50.0  # of a hum as a whole, against full scale; judged, not measured
VOICED_PROBABILITY = 0.05
"""Of 24 drawn voices 23, 24 and 24 were heard at .3, .1 and .03, of 24 vowels of espeak-ng brought to a note 8, 18 and
21; none wrongly, and at .05 none of 30 spoken sentences is a hum (`python -m tests.benchmarks.practice`)."""


@dataclass(frozen=True, slots=True)
class HummedNote:
    """What was hummed.

    Parameters
    ----------
    midi : float or None
        In semitones, fractions for cents (60.0 = C4 at A4 = 440 Hz); None when no note was hummed.
    reason : str
        Why there is none; empty otherwise.
    """

    midi: float | None
    reason: str = ""

    def cents_from(self, pitch_class: int) -> float | None:
        """How far it lies from the nearest octave of a pitch class, -600..600; None when nothing was hummed."""
        if self.midi is None:
            return None
        return float(((self.midi - pitch_class) * 100.0 + 600.0) % 1200.0 - 600.0)


def estimate_hum(samples: NDArray[np.float32], *, sample_rate_hz: int) -> HummedNote:
    """Estimate the pitch of one hummed or sung note.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, -1..1
    sample_rate_hz : int

    Returns
    -------
    HummedNote

    Examples
    --------
    >>> time_s = np.arange(16_000) / 16_000
    >>> hum = estimate_hum(np.sin(2 * np.pi * 220.0 * time_s).astype(np.float32), sample_rate_hz=16_000)
    >>> round(hum.midi, 1)
    57.0
    """
    import librosa
    import soxr

    heard = np.asarray(soxr.resample(samples, sample_rate_hz, RATE_HZ), np.float32)
    if len(heard) < FRAME or 20.0 * np.log10(float(np.sqrt(np.mean(heard**2))) + 1e-12) < SILENCE_DB:
        return HummedNote(None, "Nothing was hummed: the recording is silent.")
    frequency_hz, voiced, probability = librosa.pyin(
        heard, fmin=LOWEST_HZ, fmax=HIGHEST_HZ, sr=RATE_HZ, frame_length=FRAME, hop_length=FRAME // 4
    )
    told = voiced & (probability > VOICED_PROBABILITY)
    midi = 69.0 + 12.0 * np.log2(np.where(told, frequency_hz, 440.0) / 440.0)
    run = _longest_steady(midi, told)
    if run is None:
        return HummedNote(None, "No steady note was heard: hum one note for about a second.")
    return HummedNote(float(np.median(run)))


def _longest_steady(midi: NDArray[np.float64], told: NDArray[np.bool_]) -> NDArray[np.float64] | None:
    """Return the longest run of voiced frames that stays near one pitch, if it lasts."""
    least = int(np.ceil(STEADY_S * RATE_HZ / (FRAME // 4)))
    best: NDArray[np.float64] | None = None
    start = 0
    for place in range(len(midi) + 1):
        inside = place < len(midi) and told[place]
        if inside:
            run = midi[start : place + 1]
            if np.abs(run - np.median(run)).max() * 100.0 <= STEADY_CENTS:
                continue
        found = midi[start:place]
        if len(found) >= least and (best is None or len(found) > len(best)):
            best = found
        start = place if inside else place + 1
    return best
