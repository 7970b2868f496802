"""What the network that finds strokes looks at: a short spectrum for when, a long one for what, 200 times a second.

Conventions: 16 kHz mono; a frame every :data:`FRAME_HOP` samples, the first centred on the first sample; each band is
set against its own loud moments, so that neither the guitar's colour nor the recording's level is seen.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.audio.cut_frontend import EAR_RATE_HZ
from listen.audio.row_spectra import measure_power

Samples = NDArray[np.float32]

FRAME_HOP = 80
SPECTRA = ((512, 60.0, 7000.0, 6), (2048, 70.0, 1500.0, 12))
"""Length in samples, lowest and highest frequency in Hz, bands an octave; the network was trained with them."""
LOUD_SHARE = 0.95  # the quantile of a band's power that counts as loud; trained with it
LEAST_LOUD = 0.01  # of the loudest band: a band in which nothing sounds is not blown up; trained with it
LEAST_POWER = 1e-7  # silence; trained with it
FLOOR = 1e-4  # of a band's loud moments: 40 dB; trained with it
AT_ONCE = 2048  # frames transformed together, for the sake of memory


def measure_stroke_bands(samples: Samples) -> Samples:
    """Measure the bands in which strokes are found.

    Parameters
    ----------
    samples : ndarray, shape (n,), 16 kHz mono

    Returns
    -------
    ndarray of float32, shape (n // 80 + 1, 94)
        The short spectrum's bands, then the long one's; 1 where a band is loud, −3 where it is silent.
    """
    measured = [_whiten(_measure_spectrum(samples, *spectrum)) for spectrum in SPECTRA]
    return np.concatenate(measured, axis=1) / np.float32(10.0) + np.float32(1.0)


def _measure_spectrum(samples: Samples, n_window: int, low_hz: float, high_hz: float, per_octave: int) -> Samples:
    """Return the power in each band of each frame, where a sine of amplitude A has A²."""
    matrix = _make_triangles(n_window, low_hz, high_hz, per_octave)
    padded = np.pad(np.asarray(samples, np.float32), (n_window // 2, n_window))
    frames = np.lib.stride_tricks.sliding_window_view(padded, n_window)[::FRAME_HOP][: len(samples) // FRAME_HOP + 1]
    taper = np.hanning(n_window + 1)[:-1].astype(np.float32)
    power = np.empty((len(frames), matrix.shape[1]), np.float32)
    for first in range(0, len(frames), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        power[some] = measure_power(frames[some] * taper, n_window) @ matrix
    return power / np.float32((n_window / 4.0) ** 2)


@cache
def _make_triangles(n_window: int, low_hz: float, high_hz: float, per_octave: int) -> Samples:
    """Return triangular bands as a matrix, shape (bins, bands); none is narrower than a bin to either side."""
    bin_hz = EAR_RATE_HZ / n_window
    hz = np.arange(n_window // 2 + 1) * bin_hz
    edges = low_hz * 2.0 ** (np.arange(int(np.log2(high_hz / low_hz) * per_octave) + 2) / per_octave)
    centre = edges[1:-1]
    left, right = np.minimum(edges[:-2], centre - bin_hz), np.maximum(edges[2:], centre + bin_hz)
    rise, fall = (hz[:, None] - left) / (centre - left), (right - hz[:, None]) / (right - centre)
    return np.asarray(np.clip(np.minimum(rise, fall), 0.0, None), np.float32)


def _whiten(power: Samples) -> Samples:
    """Return levels in dB against each band's loud moments, 0 to −40 and a little above."""
    loud = np.quantile(power, LOUD_SHARE, axis=0)
    loud = np.maximum(np.maximum(loud, loud.max() * LEAST_LOUD), LEAST_POWER)
    return np.asarray(10.0 * np.log10(power / loud + FLOOR), np.float32)
