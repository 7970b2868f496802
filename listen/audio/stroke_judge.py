"""Whether a rise in the bands is a stroke: what it leaves behind, and whether it belongs to the stroke before.

A hand that is laid on the strings, fingers that leave them, and partials that beat make bands rise as a soft stroke
does; but a stroke makes them jump higher. A strum's strings may sound one after another for a third of a second: rises
that follow each other closely are one stroke.

Conventions: levels of whitened bands in dB, a frame every 5 ms.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

BEFORE, AFTER, PEAK = (-9, -1), (12, 24), (0, 10)  # frames from the rise's start
MOST_FRESH_DB, MOST_JUMP_DB = 6.0, 8.0  # of one band, so that none decides alone; judged, not measured
# By logistic regression on 1,740 rises: takes 0, 4 and 8 by line and phone, and 39 rendered parts. On takes 2 and 6,
# which were not used for it, F is .972 by line and .949 by phone, from .950 and .911 (tests/benchmarks/takes.py); 99 of
# 100 struck chords and damped strokes of the rendered parts stay.
BIAS, STRENGTH_WEIGHT, FRESH_WEIGHT, JUMP_WEIGHT, GONE_WEIGHT = -6.01, 0.99, -0.73, 2.71, 0.34
LEAST_ODDS = -0.9  # of that regression: a rise below is no stroke
NEXT_STRING_S, LONGEST_SPREAD_S = 0.085, 0.34
"""Of 223 pairs of strokes at 6 to 9 a second none is closer than 90 ms; ghosts come 30 to 140 ms after a stroke."""
# so soon after a stroke, so weak or so doubtful, a rise is its echo; judged, not measured
ECHO_S, ECHO_SHARE, ECHO_ODDS = 0.13, 0.22, -0.3
PRECURSOR_SHARE = 0.45  # of the strongest rise: what comes before and is weaker is no string


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
    before = level_db[max(0, start + BEFORE[0]) : max(1, start + BEFORE[1])].mean(axis=0)
    later = level_db[start + AFTER[0] : start + AFTER[1]]
    after = later.mean(axis=0) if len(later) > 2 else level_db[start : start + AFTER[0]].max(axis=0)
    peak = level_db[start + PEAK[0] : start + PEAK[1]].max(axis=0)
    fresh = float(np.clip(after - before, 0.0, MOST_FRESH_DB).mean())
    gone = float(np.clip(before - after, 0.0, MOST_FRESH_DB).mean())
    jump = float(np.clip(peak - before, 0.0, MOST_JUMP_DB).mean())
    said = STRENGTH_WEIGHT * math.log(max(strength, 1e-3)) + FRESH_WEIGHT * fresh
    return BIAS + said + JUMP_WEIGHT * jump + GONE_WEIGHT * gone


def join_rises(rises: list[Rise], *, frames_a_second: float) -> list[Rise]:
    """Join the rises of one stroke, and leave out what is none.

    Parameters
    ----------
    rises : list of Rise
        In time order.
    frames_a_second : float

    Returns
    -------
    list of Rise
        One a stroke: it starts with its first string, and is as strong as its strongest.
    """
    groups: list[list[Rise]] = []
    for rise in rises:
        group = groups[-1] if groups else []
        close = (
            group and min(rise.start - group[-1].start, rise.peak - group[-1].peak) < NEXT_STRING_S * frames_a_second
        )
        if close and rise.start - group[0].start < LONGEST_SPREAD_S * frames_a_second:
            group.append(rise)
        else:
            groups.append([rise])
    found: list[Rise] = []
    for group in groups:
        strongest = max(group, key=lambda rise: rise.strength)
        first = next(rise for rise in group if rise.strength >= PRECURSOR_SHARE * strongest.strength)
        joined = Rise(first.start, strongest.peak, strongest.strength, max(rise.odds for rise in group))
        is_echo = bool(found) and joined.start - found[-1].start < ECHO_S * frames_a_second
        if is_echo and (joined.strength < ECHO_SHARE * found[-1].strength or joined.odds < ECHO_ODDS):
            continue
        if joined.odds > LEAST_ODDS:
            found.append(joined)
    return found
