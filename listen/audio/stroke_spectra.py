"""What the stroke network looks at: how loud each band is, every 5 ms, at the attack and a little longer.

A short window shows when strings begin, a long one which: an octave from low E is 80 Hz wide, and two strings of it
are told apart by windows of an eighth of a second only. Bands are whitened, each by its own loudest moments: a mellow
guitar has little above 1.5 kHz, but what it has moves with the pick.

Conventions: mono samples at :data:`STROKE_RATE_HZ`; frames of :data:`HOP` samples, the first around the first sample.

References
----------
D. Stowell, M. Plumbley, "Adaptive whitening for improved real-time audio onset detection", ICMC 2007.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

STROKE_RATE_HZ = 16000
FRAMES_A_SECOND = 200
HOP = STROKE_RATE_HZ // FRAMES_A_SECOND
# window in samples, lowest and highest band in Hz, bands an octave: the network was trained on these
SHORT, LONG = (512, 60.0, 7000.0, 6), (2048, 70.0, 1500.0, 12)
LOUD_QUANTILE = 0.95  # of a band's moments: its loudest
BAND_FLOOR = 0.01  # of the loudest band: bands under it are not whitened further
QUIET_SHARE = 1e-4  # of a band's loudest moments: changes under it are not seen
ABSOLUTE_FLOOR = 1e-7  # of power in a band, full scale 1: under it a recorder's own noise begins
SCALE_DB = 10.0  # what the network takes for one; its zero lies as far under the loudest
FRAMES_AT_ONCE = 2048  # flat memory


def measure_band_power(samples: Floats) -> Floats:
    """Measure power in the short window's bands every 5 ms.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`STROKE_RATE_HZ`

    Returns
    -------
    ndarray, shape (n // HOP + 1, n_bands)
    """
    return _measure_power(samples, SHORT)


def measure_stroke_bands(samples: Floats, *, short: Floats | None = None) -> Floats:
    """Measure what the stroke network looks at.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`STROKE_RATE_HZ`
    short : ndarray or None
        What :func:`measure_band_power` found, where that is known.

    Returns
    -------
    ndarray, shape (n // HOP + 1, n_short + n_long)
        Whitened bands of the short window, then of the long one; 1 is as loud as a band usually becomes, and each
        step of 1 is 10 dB.

    Examples
    --------
    >>> measure_stroke_bands(np.zeros(16000, np.float32)).shape
    (201, 94)
    """
    short = measure_band_power(samples) if short is None else short
    return np.concatenate([_whiten(short), _whiten(_measure_power(samples, LONG))], axis=1)


def _measure_power(samples: Floats, form: tuple[int, float, float, int]) -> Floats:
    from scipy import fft

    window, filters = form[0], _make_filters(*form)
    padded = np.pad(samples, (window // 2, window))
    frames = np.lib.stride_tricks.sliding_window_view(padded, window)[::HOP][: len(samples) // HOP + 1]
    taper = np.hanning(window + 1)[:-1].astype(np.float32)
    power = np.empty((len(frames), filters.shape[1]), np.float32)
    for first in range(0, len(frames), FRAMES_AT_ONCE):
        spectrum = fft.rfft(frames[first : first + FRAMES_AT_ONCE] * taper, axis=1)[:, : len(filters)]
        power[first : first + FRAMES_AT_ONCE] = (spectrum.real**2 + spectrum.imag**2) @ filters
    return np.asarray(power / np.float32((window / 4) ** 2), np.float32)


@cache
def _make_filters(window: int, lowest_hz: float, highest_hz: float, per_octave: int) -> Floats:
    """Make triangular filters on the bins of one window that are in any band, shape (n_bins, n_bands)."""
    bin_hz = STROKE_RATE_HZ / window
    n_edges = int(np.log2(highest_hz / lowest_hz) * per_octave) + 2
    edges = lowest_hz * 2.0 ** (np.arange(n_edges) / per_octave)
    centre = edges[1:-1]
    left, right = np.minimum(edges[:-2], centre - bin_hz), np.maximum(edges[2:], centre + bin_hz)
    hz = np.arange(int(right.max() / bin_hz) + 1) * bin_hz
    rising = (hz[:, None] - left) / (centre - left)
    falling = (right - hz[:, None]) / (right - centre)
    return np.asarray(np.clip(np.minimum(rising, falling), 0.0, None), np.float32)


def _whiten(bands: Floats) -> Floats:
    """Return each band's level against its own loudest moments, as the network takes it."""
    loud = np.quantile(bands, LOUD_QUANTILE, axis=0)
    loud = np.maximum(np.maximum(loud, loud.max() * BAND_FLOOR), ABSOLUTE_FLOOR)
    return np.asarray(10.0 * np.log10(bands / loud + QUIET_SHARE) / SCALE_DB + 1.0, np.float32)
