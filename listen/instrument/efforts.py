"""Efforts of many shapes at once: of each, that of its best fingering.

Conventions: shapes are rows of an int8 array, highest-numbered string first, -1 where a string is not played. All plans
of all shapes are laid out in one long array and weighed together (:mod:`listen.instrument.weighing`), then the best
plan of each shape is kept.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.errors import bad_value
from listen.instrument import effort
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import USUAL_HAND, Hand
from listen.instrument.muting import measure_muting
from listen.instrument.pair_costs import FAILURE
from listen.instrument.plans import find_joins, lay_out, list_plans, pack_fingers
from listen.instrument.thumb import find_thumb_failures
from listen.instrument.weighing import weigh_plans

Frets = NDArray[np.int8]
Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Efforts:
    """What each shape costs.

    Parameters
    ----------
    effort : ndarray, shape (n,), float32
    playable : ndarray, shape (n,), bool
    """

    effort: Floats
    playable: NDArray[np.bool_]


def measure_efforts(frets: Frets, fretboard: Fretboard, *, hand: Hand = USUAL_HAND) -> Efforts:
    """Measure the effort of the best fingering of every shape, exactly.

    Parameters
    ----------
    frets : ndarray, shape (n, n_strings), int8
        Highest-numbered string first; -1 not played, 0 open, counted from the capo.
    fretboard : Fretboard
    hand : Hand

    Raises
    ------
    BadValueError
        The rows have another number of strings than the instrument.

    Examples
    --------
    >>> both = np.array([[-1, 3, 2, 0, 1, 0], [1, 3, 3, 2, 1, 1]], np.int8)
    >>> [round(effort, 1) for effort in measure_efforts(both, Fretboard()).effort.tolist()]
    [2.8, 4.8]
    """
    if frets.ndim != 2 or frets.shape[1] != fretboard.n_strings:
        raise bad_value("shapes", frets.shape, allowed=f"rows of {fretboard.n_strings} frets")
    columns = np.ascontiguousarray(frets.T, dtype=np.int8)
    best = _weigh_shapes(columns, (columns == 0).any(axis=0), fretboard, hand=hand)
    may_thumb = (columns[0] > 0) & (hand.thumb | (best >= FAILURE / 2))
    rows = np.flatnonzero(may_thumb)
    if rows.size:
        best[rows] = np.minimum(best[rows], _weigh_thumb(columns[:, rows], fretboard, hand=hand))
    playable = best < FAILURE / 2
    best = np.where(playable, best, np.fmod(best, FAILURE) + np.float32(effort.BEYOND))
    if hand.picking == "pick":
        best += measure_muting(columns)
    return Efforts(best, playable)


def _weigh_thumb(columns: Frets, fretboard: Fretboard, *, hand: Hand) -> Floats:
    """Weigh the plans that stop the lowest string with the thumb."""
    without = columns.copy()
    without[0] = -1
    fails = find_thumb_failures(columns, hand)
    weighed = _weigh_shapes(without, (columns == 0).any(axis=0), fretboard, hand=hand) + np.float32(effort.THUMB)
    return np.asarray(weighed + fails * FAILURE, dtype=np.float32)


def _weigh_shapes(columns: Frets, has_open: NDArray[np.bool_], fretboard: Fretboard, *, hand: Hand) -> Floats:
    """Return each shape's best plan, without what the picking hand has to damp."""
    joins, before = find_joins(columns)
    count = (columns > 0).sum(axis=0, dtype=np.int8)
    best = np.where(count == 0, np.float32(0.0), np.float32(np.inf))
    rows, masks = list_plans(joins, count, len(columns))
    if rows.size:
        plans = lay_out(columns[:, rows], pack_fingers(columns[:, rows], before[:, rows], masks))
        costs = np.empty(rows.size, np.float32)
        for those, shared, choices in weigh_plans(plans, has_open[rows], fretboard, hand, apart=False):
            least = np.full(those.size, np.inf, np.float32)
            for _, cost in choices:
                np.minimum(least, cost[0], out=least)
            costs[those] = least + shared[0]
        np.minimum.at(best, rows, costs)
    return best
