"""Which way a stroke went, from the order in which its strings begin to sound.

A downstroke sounds the low strings first. In steps of 2 ms the rise of eleven bands is followed through the attack; the
moment at which each band rises, against the moment of the whole, is weighed: low bands that rise late speak for an
upstroke, high ones for a downstroke. Two strings 15 ms apart are told apart by windows of 16 ms only on the average, so
this is an opinion, to be joined with where the hand is in its swing.

Conventions: samples at :data:`~listen.audio.strokes.STROKE_RATE_HZ`; log-odds of down.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.audio.strokes import STROKE_RATE_HZ

Samples = NDArray[np.float32]

HOP, WINDOW, N_FFT, LAG = 32, 256, 512, 8
BEFORE_S, AFTER_S = 0.025, 0.045  # around the onset, in which strings begin one after another; judged
BAND_EDGES_HZ = (60, 130, 190, 260, 360, 500, 700, 1000, 1500, 2300, 3500, 6000)
# By logistic regression on 2,012 strokes of 45 seeded parts (`tests/benchmarks/part_direction.py`); across parts it is
# right in .82 of the strokes that spread over 15 ms or more, and in .72 of all.
WEIGHTS_PER_MS = np.array((-75, -32, -91, -80, -30, -68, 4, 23, -35, 20, 59)) / 1000.0
BIAS = 0.78  # of that regression: more strokes go down
LEAST_SHARE = 0.002  # of all rises: a band with less says nothing
MOST_LOG_ODDS = 3.0  # no single stroke is surer of its way; judged
_TAPER = np.hanning(WINDOW).astype(np.float32)
_EDGES = np.round(np.array(BAND_EDGES_HZ) * N_FFT / STROKE_RATE_HZ).astype(int)


def measure_onset_order(samples: Samples, *, onset_s: float) -> NDArray[np.float64]:
    """Measure when each band rises against when the whole does.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono
    onset_s : float

    Returns
    -------
    ndarray, shape (11,)
        Milliseconds; 0 where a band does not rise.
    """
    from scipy import fft

    first = round((onset_s - BEFORE_S) * STROKE_RATE_HZ)
    last = round((onset_s + AFTER_S) * STROKE_RATE_HZ) + WINDOW
    piece = samples[max(0, first) : max(0, last)]
    piece = np.pad(piece, (max(0, -first), max(0, last - first - len(piece) - max(0, -first))))
    frames = np.lib.stride_tricks.sliding_window_view(piece, WINDOW)[::HOP]
    spectrum = fft.rfft(frames * _TAPER, N_FFT, axis=1)
    power = spectrum.real**2 + spectrum.imag**2
    level = np.sqrt(np.add.reduceat(power[:, : _EDGES[-1]], _EDGES[:-1], axis=1))
    rise = np.maximum(level[LAG:] - level[:-LAG], 0.0)
    total = float(rise.sum())
    if total <= 0.0:
        return np.zeros(len(_EDGES) - 1)
    time_ms = 1000.0 * HOP / STROKE_RATE_HZ * np.arange(len(rise))
    weight = rise.sum(axis=0)
    moment = (rise * time_ms[:, None]).sum(axis=0) / np.maximum(weight, 1e-12)
    whole = float((rise.sum(axis=1) * time_ms).sum()) / total
    return np.where(weight > LEAST_SHARE * total, moment - whole, 0.0)


def measure_lean(samples: Samples, *, onset_s: float) -> float:
    """Return the log-odds that a stroke went down, from the order of its strings."""
    odds = BIAS + float(WEIGHTS_PER_MS @ measure_onset_order(samples, onset_s=onset_s))
    return max(-MOST_LOG_ODDS, min(MOST_LOG_ODDS, odds))
