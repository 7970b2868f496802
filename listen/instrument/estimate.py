"""A quick estimate of many efforts, for weighing tens of thousands of shapes in a few milliseconds.

Where :mod:`efforts <listen.instrument.efforts>` tries every division among the fingers, this tries four (every string
its own finger; the lowest fret under one barre; neighbours at the same higher fret under one finger; both) and
measures the stretch of the outermost fingers, and of the first two where all four are needed. On plausible shapes its
order agrees with the exact one (a test prints and bounds Spearman's rank correlation). Conventions as there.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from listen.errors import bad_value
from listen.instrument import effort
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import ACROSS_SHARE, EASY_SHARE, GREATEST_SHARE, PRESS_BACK, STRING_GAP_MM, USUAL_HAND, Hand
from listen.instrument.muting import encode_states, tabulate_muting

Frets = NDArray[np.int8]
Floats = NDArray[np.float32]

USUAL_CROWDING = (0.0, 0.0, 0.08, 0.15, 0.27)  # by number of fingers: its median over the open shape data
_NO_FRET = 99


def estimate_efforts(frets: Frets, fretboard: Fretboard, *, hand: Hand = USUAL_HAND) -> Floats:
    """Estimate the effort of the best fingering of every shape.

    Parameters
    ----------
    frets : ndarray, shape (n, n_strings), int8
        Highest-numbered string first; -1 not played, 0 open, counted from the capo.
    fretboard : Fretboard
    hand : Hand

    Returns
    -------
    ndarray, shape (n,), float32
        At least 0; about 3 more where the hand cannot hold it.

    Raises
    ------
    BadValueError
        The rows have another number of strings than the instrument.
    """
    if frets.ndim != 2 or frets.shape[1] != fretboard.n_strings:
        raise bad_value("shapes", frets.shape, allowed=f"rows of {fretboard.n_strings} frets")
    columns = np.ascontiguousarray(frets.T, dtype=np.int8)
    n_strings, n = columns.shape
    stopped = columns > 0
    lowest = np.where(stopped, columns, np.int8(_NO_FRET)).min(axis=0)
    highest = columns.max(axis=0)
    at_lowest = columns == lowest
    n_lowest, n_joined, run, run_width, saved, width = (np.zeros(n, np.int8) for _ in range(6))
    lifted = np.zeros(n, bool)
    for string in range(n_strings):  # the barre that saves most fingers: lowest frets with no open string between
        here, column = at_lowest[string], columns[string]
        is_open = column == 0
        run *= ~is_open
        run_width *= run > 0
        run_width += run > 0
        run += here
        n_lowest += here
        better = here & (run - np.int8(1) > saved)
        np.copyto(saved, run - np.int8(1), where=better)
        np.copyto(width, run_width, where=better)
        lifted = (lifted | is_open & (saved > 0)) & ~better
        if string:
            n_joined += (column == columns[string - 1]) & (column > lowest)
    count = stopped.sum(axis=0, dtype=np.int8)
    can_barre = saved > 0
    barre = np.float32(effort.BARRE[1]) + np.float32(effort.BARRE_STRING[1]) * (width - np.int8(1))
    barre += np.float32(effort.BARRE_FIRST_FRET) * (width + np.int8(1)) * (lowest == 1)
    barre += np.float32(effort.BARRE_LIFT) * lifted
    joined = np.float32(effort.BARRE[3]) * n_joined
    second = np.where(columns > lowest, columns, np.int8(_NO_FRET)).min(axis=0)
    gap = _tabulate_gap(fretboard, hand)[np.minimum(lowest, highest), np.minimum(second, highest)]
    spread = _tabulate_spread(fretboard, hand)
    many = spread.shape[0] - 1
    best = np.full(n, np.inf, np.float32)
    for with_barre, with_joins in ((False, False), (True, False), (False, True), (True, True)):
        fingers = count - saved if with_barre else count
        fingers = fingers - n_joined if with_joins else fingers
        cost = spread[np.clip(fingers, 0, many), np.minimum(lowest, highest), highest]
        alone = n_lowest - saved == 1 if with_barre else n_lowest == 1
        cost = cost + gap * (alone & (fingers == 4))
        if with_barre:
            cost += np.where(can_barre, barre, np.float32(np.inf))
        if with_joins:
            cost += joined
        np.minimum(best, cost, out=best)
    if hand.picking == "pick":
        best += tabulate_muting(n_strings)[encode_states(columns)]
    return best


@lru_cache(maxsize=16)
def _tabulate_spread(fretboard: Fretboard, hand: Hand) -> Floats:
    """Tabulate the cost of so many fingers between two frets: [fingers, lowest, highest]."""
    wires = np.array([fretboard.wire_mm(fret) for fret in range(fretboard.top_fret + 1)])
    lowest, highest = np.ogrid[: wires.size, : wires.size]
    spaces = np.diff(wires, prepend=0.0)
    distance = np.maximum(wires[highest] - wires[lowest] - PRESS_BACK * spaces[highest], ACROSS_SHARE * STRING_GAP_MM)
    high = effort.HIGH * np.maximum(0, highest + fretboard.capo_fret - effort.HIGH_FRET)
    table = np.zeros((max(4, fretboard.n_strings) + 1, wires.size, wires.size))
    for fingers in (1, 2, 3, 4):
        table[fingers] = high + USUAL_CROWDING[fingers] + _weigh_spread(fingers, distance, highest - lowest, hand)
    for fingers in range(5, len(table)):
        table[fingers] = table[4] + effort.BEYOND + effort.EXTRA_FINGER * (fingers - 4)
    return table.astype(np.float32)


@lru_cache(maxsize=16)
def _tabulate_gap(fretboard: Fretboard, hand: Hand) -> Floats:
    """Tabulate what it costs that index and middle finger, when all four are needed, are more than a fret apart."""
    wires = np.array([fretboard.wire_mm(fret) for fret in range(fretboard.top_fret + 1)])
    lowest, second = np.ogrid[: wires.size, : wires.size]
    distance = wires[second] - wires[lowest] - PRESS_BACK * np.diff(wires, prepend=0.0)[second]
    easy, greatest = hand.reach_mm * EASY_SHARE[1, 2], hand.reach_mm * GREATEST_SHARE[1, 2]
    cost = effort.STRETCH * np.square(np.maximum(0.0, (distance - easy) / (greatest - easy)))
    cost += effort.SKIPPED_FRET * np.maximum(0, second - lowest - 1) + effort.BEYOND * (distance > greatest)
    return np.asarray(cost, np.float32)


def _weigh_spread(
    fingers: int, distance: NDArray[np.float64], frets: NDArray[np.int64], hand: Hand
) -> NDArray[np.float64]:
    """Return the least cost of so many fingers whose outermost are so far apart."""
    if fingers == 1:
        return np.full_like(distance, effort.FINGER)
    best = np.full_like(distance, np.inf)
    for chosen in combinations((1, 2, 3, 4), fingers):
        pair = (chosen[0], chosen[-1])
        easy, greatest = hand.reach_mm * EASY_SHARE[pair], hand.reach_mm * GREATEST_SHARE[pair]
        cost = effort.STRETCH * np.square(np.maximum(0.0, (distance - easy) / (greatest - easy)))
        cost += effort.SPREAD * distance / hand.reach_mm + effort.IDLE_INDEX * (chosen[0] - 1)
        cost += effort.SKIPPED_FRET * np.maximum(0, frets - (pair[1] - pair[0]))
        cost += effort.BEYOND * (distance > greatest)
        cost += sum(effort.FINGER + effort.WEAKNESS[finger] for finger in chosen)
        best = np.minimum(best, cost)
    return best
