"""What a bass does through all bars of one chord: a string that is missed sounds in some, one that is not held in none.

A thumb that misses a string misses it now and then, whatever the chord. So a chord whose lowest string sounds in no bar
in which it is held, though others of it do, is not held so: x20003 is meant, not 320003 with its sixth string missed
each time. Likewise an open string below a chord that sounds in nearly all its strokes is not brushed by accident but
held: x00232 is meant, not xx0232.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from listen.transcription.stroke_odds import StrokeOdds

LEAST_BARS = 2  # in one bar alone, a string may be missed, or brushed, throughout
NEVER_HEARD = 0.1  # chance, for each bar, that a string which is held is missed wherever its chord is
MOST_BRUSHED, ALWAYS_COST = 0.6, 2.3
"""Share of a chord's whole strokes in which an open string below it sounds by accident, at most; nats for each bar
where it sounds in more."""
LEAST_WHOLE = 2.0  # strokes that reach down to the chord's lowest string, to tell


def weigh_standing_basses(
    odds: StrokeOdds,
    path: NDArray[np.intp],
    *,
    lowest: NDArray[np.int64],
    bars: NDArray[np.int64],
    opens: Sequence[int],
) -> Mapping[int, float]:
    """Weigh what the lowest string of each held set, and the open strings below it, do in all bars in which it is held.

    Parameters
    ----------
    odds : StrokeOdds
    path : ndarray of int, shape (n_stretches,)
        Which set is held in each stretch.
    lowest : ndarray of int, shape (n_sets,)
        MIDI number of each set's lowest pitch; 0 for no pitch.
    bars : ndarray of int, shape (n_stretches,)
    opens : sequence of int
        What the open strings sound, low to high.

    Returns
    -------
    mapping of int to float
        Nats against each set that is held in two bars or more.
    """
    chances = 1.0 / (1.0 + np.exp(odds.present - odds.absent))
    costs: dict[int, float] = {}
    for row in set(path.tolist()):
        held = path == row
        n_bars = len(set(bars[held].tolist()))
        if n_bars < LEAST_BARS or not lowest[row]:
            continue
        ever = float(odds.in_bar[held, lowest[row]].max())
        costs[row] = -n_bars * float(np.log(ever + (1.0 - ever) * NEVER_HEARD))
        strummed = chances[held & ~odds.picked]
        whole = strummed[strummed[:, lowest[row]] > 0.5]
        below = [midi for midi in opens[:2] if midi < lowest[row]]
        weights = whole[:, lowest[row]]
        if below and weights.sum() >= LEAST_WHOLE:
            share = float((weights @ whole[:, below]).max() / weights.sum())
            costs[row] += ALWAYS_COST * n_bars * (share >= MOST_BRUSHED)
    return costs
