"""The peaks of the long spectrum of a strum.

Conventions: 16 kHz mono; frequencies in Hz, levels in dB against the strongest peak.

References
----------
J. O. Smith, X. Serra, "PARSHL: an analysis/synthesis program for non-harmonic sounds", ICMC 1987 (interpolation).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import EAR_RATE_HZ

Samples = NDArray[np.float32]
Array = NDArray[np.float64]

SKIP_S = 0.03
"""The pick's noise after the onset, left out."""
LONGEST_WINDOW_S = 1.02  # longer ones part no more of a guitar's partials, since they decay; judged
SHORTEST_WINDOW_S = 0.09
"""Less cannot part two strings a third apart."""
FLOOR_DB = 65.0
"""Peaks so far under the strongest are leakage of a Hann window or noise."""
NOISE_HZ = 40.0  # around a peak, over which the noise is measured


@dataclass(frozen=True, slots=True)
class Peaks:
    """The peaks of one long spectrum.

    Parameters
    ----------
    frequencies_hz, levels_db : ndarray, shape (n,)
        By frequency; levels against the strongest.
    noise_db : ndarray, shape (n,)
        What lies around each: the median level of its 40 Hz.
    resolution_hz : float
        One over the window's length.
    power : ndarray, shape (n_bins,)
        The spectrum itself.
    bin_hz : float
    """

    frequencies_hz: Array
    levels_db: Array
    noise_db: Array
    resolution_hz: float
    power: Array
    bin_hz: float


def place_peaks(logs: Array, *, above: float) -> tuple[NDArray[np.intp], Array, Array]:
    """Find the peaks of a spectrum, each placed by a parabola through its logarithm and its neighbours'.

    Parameters
    ----------
    logs : ndarray, shape (n_bins,)
        In dB, or natural.
    above : float
        Lower peaks are left out.

    Returns
    -------
    at : ndarray of int, shape (n_peaks,)
        The bins.
    shift : ndarray, shape (n_peaks,)
        How far each lies beside the middle of its bin, in bins.
    top : ndarray, shape (n_peaks,)
        The top of the parabola, in the unit of `logs`.
    """
    inner = logs[1:-1]
    at = np.flatnonzero((inner > logs[:-2]) & (inner >= logs[2:]) & (inner > above)) + 1
    left, middle, right = logs[at - 1], logs[at], logs[at + 1]
    shift = 0.5 * (left - right) / np.minimum(left - 2.0 * middle + right, -1e-9)
    return at, shift, middle - 0.25 * (left - right) * shift


def find_spectrum_peaks(samples: Samples, *, onset: int, end: int) -> Peaks | None:
    """Find the peaks of the sound that follows an onset.

    Parameters
    ----------
    samples : ndarray, shape (n,), 16 kHz mono
    onset, end : int
        In samples.

    Returns
    -------
    Peaks or None
        None where there is too little sound to say anything.
    """
    first = onset + round(SKIP_S * EAR_RATE_HZ)
    segment = samples[first : min(end, first + round(LONGEST_WINDOW_S * EAR_RATE_HZ))]
    if len(segment) < SHORTEST_WINDOW_S * EAR_RATE_HZ:
        return None
    n_fft = 2 ** int(np.ceil(np.log2(2 * len(segment))))
    spectrum = np.abs(np.fft.rfft(segment * np.hanning(len(segment)).astype(np.float32), n_fft))
    if float(spectrum.max()) < 1e-6:
        return None
    levels = 20.0 * np.log10(spectrum / spectrum.max() + 1e-9)
    at, shift, top = place_peaks(levels, above=-FLOOR_DB)
    bin_hz = EAR_RATE_HZ / n_fft
    width = round(NOISE_HZ / bin_hz)
    noise = np.median(levels[: len(levels) // width * width].reshape(-1, width), axis=1)
    noise_db = noise[np.minimum(at // width, len(noise) - 1)]
    power = np.square(spectrum, dtype=np.float64)
    return Peaks(
        (at + shift) * bin_hz, np.asarray(top, np.float64), noise_db, EAR_RATE_HZ / len(segment), power, bin_hz
    )
