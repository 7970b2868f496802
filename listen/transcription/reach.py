"""How far strokes reach: a stroke on a held chord strikes a run of neighbouring strings, and most of those sound.

A downstroke mostly strikes all that is held, an upstroke the upper strings; a thumb may miss the lowest, once or for a
whole bar. How often that happens is the player's own: it starts from what is usual and is learnt from the strokes of
the part (hard expectation–maximisation).

References
----------
A. P. Dempster, N. M. Laird, D. B. Rubin, "Maximum likelihood from incomplete data via the EM algorithm", Journal of the
Royal Statistical Society B 39(1), 1977.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MOST_MISSED = 5  # strings, low or high, that are counted apart
USUAL_LOW = np.array([[0.48, 0.32, 0.10, 0.05, 0.03, 0.02], [0.20, 0.25, 0.28, 0.20, 0.05, 0.02]])
SURE_LOW = np.array([[0.84, 0.08, 0.04, 0.02, 0.01, 0.01], [0.22, 0.24, 0.27, 0.20, 0.05, 0.02]])
USUAL_HIGH = np.array([[0.80, 0.12, 0.05, 0.015, 0.01, 0.005], [0.90, 0.06, 0.02, 0.01, 0.005, 0.005]])
"""How many low, and how many high strings a downstroke and an upstroke leave out (judged, not measured); sure hands are
where learning begins a second time."""
USUAL_SINGLE = 0.06  # share of strokes on one string
OPENS_LOW = 0.9  # of strings struck alone where a bar begins, those that are the lowest held (judged, not measured)
USUAL_SILENT, SURE_SILENT = 0.2, 0.05  # share of bars in which the lowest string that is held never sounds
USUAL_BRUSHED = 0.05  # share of strokes in which an open string below the chord sounds
USUAL_STROKES, USUAL_BARS = 12.0, 4.0  # what is usual counts as so much of the part
LEAST_SILENT, MOST_SILENT = 0.02, 0.7  # whatever the part seems to say; judged


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """How often a player's strokes leave out so many strings.

    Parameters
    ----------
    low : ndarray, shape (2, 2, 6)
        Shares of strokes that leave out so many low strings: of chords whose lowest note can be on the lowest string
        only, and of others; of downstrokes, and of upstrokes.
    high : ndarray, shape (2, 6)
        Shares of downstrokes, and of upstrokes, that leave out so many high strings.
    single : float
        Share of strokes on one string alone.
    silent : ndarray, shape (2,)
        Share of bars in which a low string that is held never sounds: by the two kinds of chord.
    brushed : float
        Share of strokes in which an open string below the chord sounds.
    cost : float
        How unusual such a player is, in nats.
    """

    low: Floats
    high: Floats
    single: float
    silent: Floats
    brushed: float = USUAL_BRUSHED
    cost: float = 0.0

    def weigh_runs(self, n: int, *, is_lowest: bool, opens: bool = False) -> Floats:
        """Return the cost of each run of strings, shape (2, n, n): by way, first and last string.

        Where the stroke opens a bar, a single string is mostly the lowest.
        """
        costs = np.full((2, n, n), np.inf)
        for first in range(n):
            for last in range(first, n):
                left = (min(first, MOST_MISSED), min(n - 1 - last, MOST_MISSED))
                share = (1.0 - self.single) * self.low[0 if is_lowest else 1, :, left[0]] * self.high[:, left[1]]
                if first == last and n > 1:
                    lowest = OPENS_LOW if first == 0 else (1.0 - OPENS_LOW) / (n - 1)
                    share = share + self.single * (lowest if opens else 1.0 / n)
                costs[:, first, last] = -np.log(share)
        return costs


USUAL_REACH = Reach(np.array([USUAL_LOW] * 2), USUAL_HIGH, USUAL_SINGLE, np.full(2, USUAL_SILENT))
SURE_REACH = Reach(np.array([SURE_LOW] * 2), USUAL_HIGH, USUAL_SINGLE, np.full(2, SURE_SILENT))


@dataclass(frozen=True, slots=True)
class StringRun:
    """The run of strings that a stroke struck.

    Parameters
    ----------
    first, last, n : int
        Of so many strings, low to high.
    is_lowest : bool
        Whether the chord reaches down to the lowest string.
    down : float
        Chance that the hand went down.
    brushed : float
        How many open strings below the chord sound, as far as it can be told.
    n_below : int
        How many open strings lie below the chord.
    in_bar, share_of_bar : float
        Chance that the lowest string sounds anywhere in the bar; which share of the bar's strokes this one is.
    """

    first: int
    last: int
    n: int
    is_lowest: bool
    down: float
    brushed: float = 0.0
    n_below: int = 0
    in_bar: float = 1.0
    share_of_bar: float = 0.0


def learn_reach(runs: Sequence[StringRun], usual: Reach = USUAL_REACH) -> Reach:
    """Learn how far a player's strokes reach, from what is usual and the strokes of the part."""
    low, high = USUAL_STROKES * usual.low, USUAL_STROKES * usual.high
    single, brushed = USUAL_STROKES * usual.single, USUAL_STROKES * usual.brushed
    n_strokes, n_below = USUAL_STROKES, USUAL_STROKES
    heard, n_bars = USUAL_BARS * (1.0 - usual.silent), np.full(2, USUAL_BARS)
    for run in runs:
        kind = 0 if run.is_lowest else 1
        n_strokes += 1
        n_below += run.n_below
        brushed += run.brushed
        heard[kind] += run.in_bar * run.share_of_bar
        n_bars[kind] += run.share_of_bar
        if run.first == run.last and run.n > 1:
            single += 1
            continue
        ways = np.array([run.down, 1.0 - run.down])
        low[kind, :, min(run.first, MOST_MISSED)] += ways
        high[:, min(run.n - 1 - run.last, MOST_MISSED)] += ways
    low, high = low / low.sum(axis=2, keepdims=True), high / high.sum(axis=1, keepdims=True)
    silent = np.clip(1.0 - heard / n_bars, LEAST_SILENT, MOST_SILENT)
    cost = USUAL_STROKES * float((usual.low * np.log(usual.low / low)).sum())
    cost += USUAL_BARS * float((usual.silent * np.log(usual.silent / silent)).sum())
    cost += USUAL_BARS * float(((1.0 - usual.silent) * np.log((1.0 - usual.silent) / (1.0 - silent))).sum())
    return Reach(low, high, single / n_strokes, silent, brushed / n_below, cost)
