"""A quick estimate of many efforts, for weighing tens of thousands of shapes in a few milliseconds.

Where :mod:`efforts <listen.instrument.efforts>` tries every division among the fingers, this tries four (every string
its own finger; the lowest fret under one barre; neighbours at the same higher fret under one finger; both) and
measures the stretch of the outermost fingers only. On plausible shapes its order agrees with the exact one (a test
prints and bounds Spearman's rank correlation). Conventions as there.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from listen.errors import bad_value
from listen.instrument import effort
from listen.instrument.efforts import encode_states, tabulate_muting
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import EASY_SHARE, GREATEST_SHARE, USUAL_HAND, Hand, estimate_stretch_mm

Frets = NDArray[np.int8]
Floats = NDArray[np.float32]

_NO_FRET = 99
_TOO_MANY = np.float32(effort.BEYOND + effort.EXTRA_FINGER)


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
    n_lowest, n_joined, width, pending_width = (np.zeros(n, np.int8) for _ in range(4))
    open_between, can_barre = np.zeros(n, bool), np.ones(n, bool)
    for string in range(n_strings):
        here, column = at_lowest[string], columns[string]
        pending_width += n_lowest > 0
        n_lowest += here
        open_between |= column == 0
        open_between &= n_lowest > 0
        can_barre &= ~(here & open_between)
        np.copyto(width, pending_width, where=here)
        if string:
            n_joined += (column == columns[string - 1]) & (column > lowest)
    count = stopped.sum(axis=0, dtype=np.int8)
    can_barre &= n_lowest > 1
    treble_open = open_between  # an open string beyond the barre's last
    barre = np.float32(effort.BARRE[1]) + np.float32(effort.BARRE_STRING[1]) * (width - np.int8(1))
    barre += np.float32(effort.BARRE_FIRST_FRET) * (lowest == 1)
    barre += np.float32(effort.BARRE_LIFT) * treble_open
    joined = np.float32(effort.BARRE[3]) * n_joined
    fewer = np.where(can_barre, n_lowest - np.int8(1), np.int8(0))
    spread = _tabulate_spread(fretboard, hand)
    many = spread.shape[0] - 1
    best = np.full(n, np.inf, np.float32)
    for with_barre, with_joins in ((False, False), (True, False), (False, True), (True, True)):
        fingers = count - fewer if with_barre else count
        fingers = fingers - n_joined if with_joins else fingers
        cost = spread[np.clip(fingers, 0, many), np.minimum(lowest, highest), highest]
        if with_barre:
            cost = cost + barre
        if with_joins:
            cost += joined
        np.minimum(best, cost, out=best)
    if hand.picking == "pick":
        best += tabulate_muting(n_strings)[encode_states(columns)]
    return best


@lru_cache(maxsize=16)
def _tabulate_spread(fretboard: Fretboard, hand: Hand) -> Floats:
    """Tabulate the cost of so many fingers between two frets: [fingers, lowest, highest]."""
    n_frets = fretboard.top_fret + 1
    table = np.zeros((fretboard.n_strings + 1, n_frets, n_frets), np.float32)
    for fingers in range(1, fretboard.n_strings + 1):
        for lowest in range(1, n_frets):
            for highest in range(lowest, n_frets):
                cost = _weigh_spread(min(fingers, 4), lowest, highest, fretboard, hand=hand)
                cost += effort.HIGH * max(0, highest + fretboard.capo_fret - effort.HIGH_FRET)
                if fingers > 4:
                    cost += _TOO_MANY + (fingers - 5) * effort.EXTRA_FINGER
                table[fingers, lowest, highest] = cost
    return table


def _weigh_spread(fingers: int, lowest: int, highest: int, fretboard: Fretboard, *, hand: Hand) -> float:
    """Return the least cost of the outermost fingers' stretch and of the fingers themselves."""
    distance = estimate_stretch_mm(fretboard, fret=lowest, higher_fret=highest, strings_apart=1)
    if fingers == 1:
        return effort.FINGER
    best = float("inf")
    for chosen in combinations((1, 2, 3, 4), fingers):
        pair = (chosen[0], chosen[-1])
        easy, greatest = hand.reach_mm * EASY_SHARE[pair], hand.reach_mm * GREATEST_SHARE[pair]
        cost = effort.STRETCH * max(0.0, (distance - easy) / (greatest - easy)) ** 2
        cost += effort.SPREAD * distance / hand.reach_mm + effort.IDLE_INDEX * (chosen[0] - 1)
        cost += effort.SKIPPED_FRET * max(0, (highest - lowest) - (pair[1] - pair[0]))
        cost += effort.BEYOND * (distance > greatest)
        cost += sum(effort.FINGER + effort.WEAKNESS[finger] for finger in chosen)
        best = min(best, cost)
    return best
