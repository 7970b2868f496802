"""The tuning offset of a recording: how far its semitones lie from those of A4 = 440 Hz.

Every peak of a long spectrum says where it lies between two semitones. Octaves of a string lie where the string lies,
its third harmonic 2 cents above, its fifth 14 below (equal temperament against whole-number ratios), and stiffness
raises the higher ones; so the *mode* of all deviations is taken, not their mean, from peaks low enough that stiffness
adds little. The circle of deviations has no ends: 50 cents sharp is 50 cents flat of the next semitone.

Conventions: cents, -50..50, positive where the recording is sharp.

References
----------
K. Dressler, S. Streich, "Tuning frequency estimation using circular statistics", ISMIR 2007 (deviations on a circle).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.audio.peaks import place_peaks
from listen.evidence import Measured

Samples = NDArray[np.float32]
Array = NDArray[np.float64]

LONGEST_WINDOW_S = 1.5  # longer, strings have died away; judged, not measured
LOWEST_HZ, HIGHEST_HZ = 75.0, 1500.0
"""Above 1500 Hz stiffness and the room move a partial by more than the answer is allowed to be wrong."""
FLOOR_DB = 45.0
"""Peaks so far under the strongest are noise or leakage."""
KERNEL_CENTS = 4.0  # by which peaks of one string scatter; judged, not measured
N_PEAKS = 60
SURE_OFFSET_CENTS = 12.0  # an offset whose sigma is not under that is not acted on; judged
UNKNOWN = Measured(0.0, 30.0)
"""No pitched sound: the spread of an offset that may lie anywhere is 100/sqrt(12)."""


def estimate_tuning_offset(samples: Samples, *, sample_rate_hz: int, onset_s: float = 0.0) -> Measured:
    """Estimate the tuning offset from the sound after an onset.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono
    sample_rate_hz : int
    onset_s : float
        Where the strum begins; the first 20 ms after it, the noise of the pick, are left out.

    Returns
    -------
    Measured
        Cents, -50..50, with one standard deviation; 0 with a wide one where nothing is pitched.

    Examples
    --------
    >>> time_s = np.arange(24000) / 16000
    >>> sharp = sum(np.sin(2 * np.pi * 196.0 * 2 ** (20 / 1200) * k * time_s) / k for k in (1, 2, 3, 4))
    >>> round(estimate_tuning_offset(sharp.astype(np.float32), sample_rate_hz=16000).value)
    20
    """
    first = max(0, round((onset_s + 0.02) * sample_rate_hz))
    segment = samples[first : first + round(LONGEST_WINDOW_S * sample_rate_hz)]
    frequencies_hz, amplitudes = find_peaks(segment, sample_rate_hz=sample_rate_hz)
    if len(frequencies_hz) == 0:
        return UNKNOWN
    cents = 100.0 * (12.0 * np.log2(frequencies_hz / 440.0))
    # a peak's place is known to a share of the window's resolution, which is many cents for a low note
    blur = 1200.0 / np.log(2.0) * 0.02 * sample_rate_hz / len(segment) / frequencies_hz
    width = np.sqrt(KERNEL_CENTS**2 + blur**2)
    weights = np.sqrt(amplitudes / amplitudes.max()) / width
    grid = np.arange(-50.0, 50.0, 0.5)
    apart = (cents - grid[:, None] + 50.0) % 100.0 - 50.0
    density = (weights * np.exp(-0.5 * (apart / width) ** 2)).sum(axis=1)
    mode = float(grid[np.argmax(density)])
    apart = (cents - mode + 50.0) % 100.0 - 50.0
    near = np.abs(apart) < 3.0 * KERNEL_CENTS
    shares = weights * near * np.exp(-0.5 * (apart / (2.0 * KERNEL_CENTS)) ** 2)
    value = mode + float((shares * apart).sum() / shares.sum())
    spread = float(np.sqrt((shares * (apart - (value - mode)) ** 2).sum() / shares.sum()))
    explained = float(weights[near].sum() / weights.sum())
    sigma = (spread + 0.5) / np.sqrt(max(1.0, float(near.sum()))) / max(explained, 0.05)
    return Measured((value + 50.0) % 100.0 - 50.0, min(float(sigma), UNKNOWN.sigma))


def find_peaks(segment: Samples, *, sample_rate_hz: int) -> tuple[Array, Array]:
    """Find the loudest peaks of a long Hann spectrum.

    Parameters
    ----------
    segment : ndarray, shape (n,)
    sample_rate_hz : int

    Returns
    -------
    frequencies_hz, amplitudes : ndarray, shape (n_peaks,)
        From :data:`LOWEST_HZ` to :data:`HIGHEST_HZ`, by frequency.
    """
    if len(segment) < 0.05 * sample_rate_hz:
        return np.zeros(0), np.zeros(0)
    n_fft = 2 ** int(np.ceil(np.log2(2 * len(segment))))
    taper = np.hanning(len(segment)).astype(np.float32)
    low, high = (int(hz * n_fft / sample_rate_hz) for hz in (LOWEST_HZ, min(HIGHEST_HZ, 0.45 * sample_rate_hz)))
    spectrum = np.abs(np.fft.rfft(segment * taper, n_fft)[low - 1 : high + 2]).astype(np.float64)
    logs = np.log(spectrum + 1e-12)
    at, shift, _ = place_peaks(logs, above=logs.max() - FLOOR_DB * np.log(10.0) / 20.0)
    if len(at) == 0 or spectrum.max() < 1e-6:
        return np.zeros(0), np.zeros(0)
    loudest = np.sort(np.argsort(logs[at])[-N_PEAKS:])
    at, shift = at[loudest], shift[loudest]
    return (low - 1 + at + shift) * sample_rate_hz / n_fft, spectrum[at]
