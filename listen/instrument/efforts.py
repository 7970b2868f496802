"""Efforts of many shapes at once: the same measure as :mod:`fingering <listen.instrument.fingering>`, in numpy.

Conventions: shapes are rows of an int8 array, highest-numbered string first, -1 where a string is not played. A *plan*
is one shape with one division of its stopped strings among fingers; all plans of all shapes are laid out in one long
array and weighed together, then the best plan of each shape is kept. The slow and readable twin is
:func:`~listen.instrument.fingering.best_fingering`; a test holds the two equal.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from listen.errors import bad_value
from listen.instrument import effort
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import USUAL_HAND, Hand
from listen.instrument.muting import measure_muting
from listen.instrument.pair_costs import FAILURE, PAIRS, tabulate_pairs
from listen.instrument.plans import SIDE, Plans, find_joins, lay_out, list_plans

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
    others = np.where(without > 0, without, 127).min(axis=0)
    against = np.where(others < 127, columns[0] - others, 0)
    fails = (against < effort.THUMB_REACH[0]) | (against > effort.THUMB_REACH[1]) | (not hand.thumb)
    weighed = _weigh_shapes(without, (columns == 0).any(axis=0), fretboard, hand=hand) + np.float32(effort.THUMB)
    return np.asarray(weighed + fails * FAILURE, dtype=np.float32)


def _weigh_shapes(columns: Frets, has_open: NDArray[np.bool_], fretboard: Fretboard, *, hand: Hand) -> Floats:
    """Return each shape's best plan, without what the picking hand has to damp."""
    joins, before = find_joins(columns)
    count = (columns > 0).sum(axis=0, dtype=np.int8)
    best = np.where(count == 0, np.float32(0.0), np.float32(np.inf))
    rows, masks = list_plans(joins, count, len(columns))
    if rows.size:
        plans = lay_out(columns[:, rows], before[:, rows], masks)
        np.minimum.at(best, rows, _weigh(plans, has_open[rows], fretboard, hand=hand))
    return best


def _weigh(plans: Plans, has_open: NDArray[np.bool_], fretboard: Fretboard, *, hand: Hand) -> Floats:
    """Return the least cost of each plan over the choices of fingers for it."""
    costs = np.empty(plans.count.size, np.float32)
    for count in (1, 2, 3, 4):
        rows = np.flatnonzero(plans.count == count)
        if rows.size:
            costs[rows] = _weigh_count(plans, rows, count, has_open[rows], fretboard, hand=hand)
    return costs


@lru_cache(maxsize=1)
def _tabulate_barres() -> Floats:
    """Tabulate what a finger costs by itself: [finger - 1, strings from its first to its last]."""
    table = np.empty((4, SIDE), np.float32)
    for finger in (1, 2, 3, 4):
        flat = [effort.BARRE[finger] + effort.BARRE_STRING[finger] * more for more in range(SIDE - 1)]
        table[finger - 1] = effort.WEAKNESS[finger] + np.array([0.0, *flat])
    return table


def _weigh_count(
    plans: Plans, rows: NDArray[np.int64], count: int, has_open: NDArray[np.bool_], fretboard: Fretboard, *, hand: Hand
) -> Floats:
    """Weigh the plans that use so many fingers."""
    fret, first, last = (
        [table[slot, rows] for slot in range(count)] for table in (plans.fret, plans.first, plans.last)
    )
    same = np.float32(effort.HIGH) * np.maximum(fret[-1] + np.int16(fretboard.capo_fret - effort.HIGH_FRET), 0)
    same = same.astype(np.float32) + np.float32(effort.FINGER * count)
    if count == 4:
        extra = plans.extra[rows]
        same += np.float32(effort.FINGER + effort.EXTRA_FINGER) * extra + FAILURE * (extra > 0)
        same += np.float32(effort.FOUR_IN_A_FRET) * (fret[0] == fret[3])
    alone = []
    for slot in range(count):
        strings = last[slot] - first[slot]
        same += np.float32(effort.BARRE_LIFT) * plans.lift[slot, rows]
        same += np.float32(effort.BARRE_GAP) * plans.gap[slot, rows]
        if hand.picking == "pick":
            same += FAILURE * plans.silent[slot, rows]
        same += np.float32(effort.BARRE_FIRST_FRET) * (strings + 1) * ((strings > 0) & (fret[slot] == 1))
        alone.append(_tabulate_barres()[:, strings])
    tables = tabulate_pairs(fretboard, hand)
    looked_up = []
    for low, high in [(slot, slot + 1) for slot in range(count - 1)] + ([(0, count - 1)] if count > 2 else []):
        apart = np.maximum(np.maximum(first[low] - last[high], first[high] - last[low]), 0)
        spot = (fret[low].astype(np.int32) * (fretboard.top_fret + 1) + fret[high]) * fretboard.n_strings + apart
        table = tables.only if count == 2 else tables.around if high > low + 1 else tables.beside
        looked_up.append((low, high, table, spot))
        if high == low + 1:
            same += np.float32(effort.CROSS) * (np.maximum(first[low] - first[high], 0) * (fret[low] != fret[high]))
    near_nut = has_open & (fret[-1] <= effort.NEAR_NUT)
    best = np.full(rows.size, np.inf, np.float32)
    for fingers in combinations((1, 2, 3, 4), count):
        cost = np.where(has_open, np.float32(0.0), np.float32(effort.IDLE_INDEX * (fingers[0] - 1)))
        cost += near_nut * (np.float32(effort.OUT_OF_PLACE) * np.abs(fret[0] - np.int16(fingers[0])))
        for slot, finger in enumerate(fingers):
            cost += alone[slot][finger - 1]
        for low, high, table, spot in looked_up:
            cost += table[PAIRS.index((fingers[low], fingers[high]))][spot]
        np.minimum(best, cost, out=best)
    return np.asarray(best + same, dtype=np.float32)
