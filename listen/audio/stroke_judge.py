"""Whether a rise in the bands is a stroke, by what it leaves behind.

A hand that is laid on the strings, fingers that leave them, and partials that beat make bands rise as a soft stroke
does; but a stroke makes them jump higher.

Conventions: levels of whitened bands in dB, a frame every 5 ms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

FRAMES_A_SECOND = 200
BEFORE, AFTER, PEAK = (-9, -1), (12, 24), (0, 10)  # frames from the rise's start
MOST_FRESH_DB, MOST_JUMP_DB = 6.0, 8.0  # of one band, so that none decides alone; judged, not measured
# By logistic regression on 1,740 rises: takes 0, 4 and 8 by line and phone, and 39 rendered parts. On takes 2 and 6,
# which were not used for it, F is .972 by line and .949 by phone, from .950 and .911 (tests/benchmarks/takes.py); 99 of
# 100 struck chords and damped strokes of the rendered parts stay.
BIAS, STRENGTH_WEIGHT, FRESH_WEIGHT, JUMP_WEIGHT, GONE_WEIGHT = -6.01, 0.99, -0.73, 2.71, 0.34
LEAST_ODDS = -0.9  # of that regression: a rise below is no stroke


@dataclass(frozen=True, slots=True)
class Rise:
    """One rise of the bands.

    Parameters
    ----------
    start, peak : int
        Frames.
    strength : float
        Of the peak, in dB.
    odds : float
        Log-odds that it is a stroke.
    """

    start: int
    peak: int
    strength: float
    odds: float


def judge_rise(level_db: Floats, start: int, strength: float) -> float:
    """Measure the log-odds that a rise is a stroke.

    Parameters
    ----------
    level_db : ndarray, shape (n_frames, n_bands)
        Whitened.
    start : int
    strength : float

    Returns
    -------
    float
    """
    before, peak = measure_before(level_db, start), measure_peak(level_db, start)
    later = level_db[start + AFTER[0] : start + AFTER[1]]
    after = later.mean(axis=0) if len(later) > 2 else level_db[start : start + AFTER[0]].max(axis=0)
    fresh = float(np.clip(after - before, 0.0, MOST_FRESH_DB).mean())
    gone = float(np.clip(before - after, 0.0, MOST_FRESH_DB).mean())
    jump = float(np.clip(peak - before, 0.0, MOST_JUMP_DB).mean())
    said = STRENGTH_WEIGHT * math.log(max(strength, 1e-3)) + FRESH_WEIGHT * fresh
    return BIAS + said + JUMP_WEIGHT * jump + GONE_WEIGHT * gone


def measure_before(level_db: Floats, start: int) -> Floats:
    """Measure the bands just before a rise, shape (n_bands,)."""
    return np.asarray(level_db[max(0, start + BEFORE[0]) : max(1, start + BEFORE[1])].mean(axis=0))


def measure_peak(level_db: Floats, start: int) -> Floats:
    """Measure how high the bands come at a rise, shape (n_bands,)."""
    return np.asarray(level_db[start + PEAK[0] : start + PEAK[1]].max(axis=0))
