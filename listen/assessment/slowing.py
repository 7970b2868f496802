"""Whether a change comes later than the pulse before it because the student slows down to the end, as one may.

Who does so plays each beat longer than the one before; who is late plays them alike up to the one that waits.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.assessment.placing import LOCAL_BEATS, Placed, StrokeRun

Floats = NDArray[np.float64]

LEAST_GROWN = 0.25  # of how much longer the beat up to the change is, the one before it has grown so much too; judged
LEAST_KEPT = 0.5  # of which what follows keeps so much in the mean: else the tempo comes back; judged
LEAST_AFTER = 2.0  # beats; fewer tell no tempo
N_GROWING = 3  # beats up to the change that are looked at; those before tell how long a beat usually is


def slows_to_end(placed: Placed, run: StrokeRun, due: float, first_s: float) -> bool:
    """Whether beats grow longer up to a change, and stay so to the end.

    Parameters
    ----------
    placed : Placed
    run : StrokeRun
        With the strokes before the change.
    due : float
        The beat on which the change was due.
    first_s : float
        When its first stroke comes.
    """
    n_after = float(placed.runs[-1].beats[-1]) - due
    if not -1e-6 < n_after <= LOCAL_BEATS:  # it goes on elsewhere, or this is not the end
        return False
    is_before = (run.times_s < first_s - 1e-3) & (run.beats < due - 1e-6)
    beats, first = np.unique(run.beats[is_before], return_index=True)
    if not len(beats):
        return False
    step = max(1.0, due - float(beats[-1]))  # where strokes are rarer than beats, from one to the next
    n_steps = int((due - float(beats[0])) / step + 1e-6)
    if n_steps <= N_GROWING:
        return False
    at = due - step * np.arange(n_steps, -1.0, -1.0)
    times_s = np.interp(at, [*beats, due], [*run.times_s[is_before][first], first_s])
    lengths_s = np.diff(times_s) / np.diff(run.clock.at(at))
    n_usual = max(1, int(LOCAL_BEATS / step))
    usual_s = float(np.median(lengths_s[:-N_GROWING][-n_usual:]))
    earlier, before, last = (float(length_s) - usual_s for length_s in lengths_s[-N_GROWING:])
    if not earlier < before or before <= 0.0 or before < LEAST_GROWN * last:
        return False
    gone = run.clock.gone_at(due + n_after) - run.clock.gone_at(due)
    return n_after < LEAST_AFTER or (placed.end_s - first_s) / gone - usual_s >= LEAST_KEPT * before
