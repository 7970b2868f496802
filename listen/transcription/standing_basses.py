"""What a bass does through all bars of one chord: a string that is missed sounds in some, one that is not held in none.

A thumb that misses a string misses it now and then, whatever the chord. So a chord whose lowest string sounds in no bar
in which it is held, though others of it do, is not held so: x20003 is meant, not 320003 with its sixth string missed
each time.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from listen.transcription.stroke_odds import StrokeOdds

LEAST_BARS = 2  # in one bar of several, a string may be missed throughout; a lone strum is all there is to go by
NEVER_HEARD = 0.1  # chance, for each bar, that a string which is held is missed wherever its chord is


def weigh_standing_basses(
    odds: StrokeOdds,
    path: NDArray[np.intp],
    *,
    lowest: NDArray[np.int64],
    bars: NDArray[np.int64],
) -> Mapping[int, float]:
    """Weigh whether the lowest string of each held set sounds in any bar in which it is held.

    Parameters
    ----------
    odds : StrokeOdds
    path : ndarray of int, shape (n_stretches,)
        Which set is held in each stretch.
    lowest : ndarray of int, shape (n_sets,)
        MIDI number of each set's lowest pitch; 0 for no pitch.
    bars : ndarray of int, shape (n_stretches,)

    Returns
    -------
    mapping of int to float
        Nats against each set that is held in two bars or more, or in the only one.
    """
    costs: dict[int, float] = {}
    least = min(LEAST_BARS, len(set(bars.tolist())))
    for row in set(path.tolist()):
        held = path == row
        n_bars = len(set(bars[held].tolist()))
        if n_bars < least or not lowest[row]:
            continue
        ever = float(odds.in_bar[held, lowest[row]].max())
        costs[row] = -n_bars * float(np.log(ever + (1.0 - ever) * NEVER_HEARD))
    return costs
