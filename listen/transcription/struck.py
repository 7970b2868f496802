"""Which strings of the held chord a stroke struck, and which way the hand went.

A hand sweeps over neighbouring strings, so the struck ones are a run; the run is chosen that best divides the pitches
that rose from those that did not. The direction is told by where the run lies and where in its swing the hand is:
a hand that swings with the pulse goes down on the beat and up off it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.evidence import Direction
from listen.transcription.grid import Grid
from listen.transcription.heard_part import HeardStroke

STRUCK_DB, SPREAD_DB, MOST_NATS = 2.0, 2.5, 2.0
"""Rises of struck and unstruck strings overlap (partials beat): the say of one is bounded."""
FEWER_NATS = 0.5  # for each string that a full stroke leaves out
MISSED_STRINGS = 2  # an upstroke leaves out at least so many low strings


UP_WHEN_TOP = -0.8  # log-odds of down when the low strings are left out
LEAST_SURE = 0.6
OWN_SHARE, TOGETHER_SHARE, MOST_TOGETHER = 0.6, 0.4, 8
SWINGS: dict[int, tuple[float, ...]] = {
    1: (1.5,), 2: (1.5, -1.5), 3: (1.2, 0.0, -0.8), 4: (1.5, -1.2, 0.8, -1.2)
}  # fmt: skip
"""Log-odds of down by the step in the beat, for the steps a beat has: the hand swings with the pulse (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class StruckStrings:
    """The run of a chord's pitches that a stroke struck.

    Parameters
    ----------
    first, last : int
        Places in the chord's pitches, low to high, both included.
    n_pitches : int
        How many the chord has.
    """

    first: int
    last: int
    n_pitches: int

    @property
    def is_single(self) -> bool:
        """Whether one string was struck."""
        return self.first == self.last and self.n_pitches > 1

    @property
    def is_top(self) -> bool:
        """Whether low strings were left out."""
        return self.first >= MISSED_STRINGS and self.last == self.n_pitches - 1


def find_struck(stroke: HeardStroke, midis: list[int]) -> StruckStrings:
    """Find which of a chord's pitches a stroke struck.

    Parameters
    ----------
    stroke : HeardStroke
    midis : list of int
        The chord's pitches, low to high, at least one.

    Returns
    -------
    StruckStrings
        All of them where nothing was measured.
    """
    said = np.array([_weigh_rise(stroke.rises.get(midi)) for midi in midis])
    sums = np.concatenate([[0.0], np.cumsum(said)])
    n = len(midis)
    best, run = -np.inf, (0, n - 1)
    for first in range(n):
        for last in range(first, n):
            inside = sums[last + 1] - sums[first]
            score = 2.0 * inside - sums[-1] - FEWER_NATS * (n - 1 - last + first)
            if score > best + 1e-9:
                best, run = score, (first, last)
    return StruckStrings(run[0], run[1], n)


def _weigh_rise(rise_db: float | None) -> float:
    """Turn a rise into nats for having been struck."""
    return 0.0 if rise_db is None else float(np.clip((rise_db - STRUCK_DB) / SPREAD_DB, -MOST_NATS, MOST_NATS))


def tell_directions(
    strokes: list[HeardStroke], struck: list[StruckStrings | None], grid: Grid | None, steps: NDArray[np.int64]
) -> list[tuple[Direction | None, float]]:
    """Tell which way the hand went at each stroke.

    A stroke's own evidence is joined with that of all strokes at the same place of the bar, since a pattern comes back,
    and with the swing of the hand.

    Parameters
    ----------
    strokes : list of HeardStroke
    struck : list of StruckStrings or None
        None for muted strokes.
    grid : Grid or None
        None in free time.
    steps : ndarray of int, shape (n_strokes,)
        Steps of the pulse; not looked at in free time.

    Returns
    -------
    list of (direction, probability)
        None where it cannot be told.
    """
    own = np.array([_lean_of(stroke, run) for stroke, run in zip(strokes, struck, strict=True)])
    odds = own.copy()
    if grid is not None:
        n = grid.counting.steps_per_bar
        places = (steps - grid.counting.first_bar_step) % n
        counts = np.bincount(places, minlength=n)
        means = np.bincount(places, weights=own, minlength=n) / np.maximum(counts, 1)
        together = means * np.minimum(counts, MOST_TOGETHER) * TOGETHER_SHARE
        swing = SWINGS.get(grid.counting.steps_per_beat, (0.0,))
        odds = own * OWN_SHARE + together[places] + np.array([swing[place % len(swing)] for place in places])
    return [_decide(float(one)) for one in odds]


def _lean_of(stroke: HeardStroke, run: StruckStrings | None) -> float:
    if run is None or run.is_single:
        return 0.0
    return stroke.lean + (UP_WHEN_TOP if run.is_top else 0.0)


def _decide(odds: float) -> tuple[Direction | None, float]:
    chance = 1.0 / (1.0 + float(np.exp(-odds)))
    if 1.0 - LEAST_SURE < chance < LEAST_SURE:
        return None, max(chance, 1.0 - chance)
    return ("down", chance) if chance >= 0.5 else ("up", 1.0 - chance)
