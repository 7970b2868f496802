"""A quick estimate of many efforts, for weighing tens of thousands of shapes in a few milliseconds.

Where :mod:`efforts <listen.instrument.efforts>` tries every division among the fingers, this tries four (every string
its own finger; the lowest fret under one barre; neighbours at the same higher fret under one finger; both) and
measures the stretch of the outermost fingers, and of the first two where all four are needed. On plausible shapes its
order agrees with the exact one (a test prints and bounds Spearman's rank correlation). Conventions as there. What
a stretch, a barre and strings left out cost is asked of the same functions.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from listen.errors import bad_value
from listen.instrument import effort
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import ACROSS_SHARE, STRING_GAP_MM, USUAL_HAND, Hand
from listen.instrument.muting import encode_states, tabulate_muting
from listen.instrument.pair_costs import measure_distances_mm, price_skipped, price_stretch
from listen.instrument.weighing import price_barre

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
    stopped = columns > 0
    lowest = np.where(stopped, columns, np.int8(_NO_FRET)).min(axis=0)
    highest = columns.max(axis=0)
    barre = _find_barre(columns, lowest)
    n_joined = np.zeros(lowest.size, np.int8)
    for one, other in pairwise(columns):
        n_joined += (other == one) & (other > lowest)
    count = stopped.sum(axis=0, dtype=np.int8)
    joined = np.float32(effort.BARRE[3]) * n_joined
    second = np.where(columns > lowest, columns, np.int8(_NO_FRET)).min(axis=0)
    gap = _tabulate_gap(fretboard, hand)[np.minimum(lowest, highest), np.minimum(second, highest)]
    spread = _tabulate_spread(fretboard, hand)
    many = spread.shape[0] - 1
    best = np.full(lowest.size, np.inf, np.float32)
    for with_barre, with_joins in ((False, False), (True, False), (False, True), (True, True)):
        fingers = count - barre.saved if with_barre else count
        fingers = fingers - n_joined if with_joins else fingers
        cost = spread[np.clip(fingers, 0, many), np.minimum(lowest, highest), highest]
        alone = barre.n_lowest - barre.saved == 1 if with_barre else barre.n_lowest == 1
        cost = cost + gap * (alone & (fingers == 4))
        if with_barre:
            cost += np.where(barre.saved > 0, barre.cost, np.float32(np.inf))
        if with_joins:
            cost += joined
        np.minimum(best, cost, out=best)
    if hand.picking == "pick":
        best += tabulate_muting(len(columns))[encode_states(columns)]
    return best


@dataclass(frozen=True, slots=True)
class _LowBarres:
    """The barre at each shape's lowest fret: strings stopped there, fingers it saves, what it costs."""

    n_lowest: NDArray[np.int8]
    saved: NDArray[np.int8]
    cost: Floats


def _find_barre(columns: Frets, lowest: NDArray[np.int8]) -> _LowBarres:
    """Find the barre that saves most fingers: strings at the lowest fret with no open string between them."""
    n_lowest, run, run_width, saved, width = (np.zeros(lowest.size, np.int8) for _ in range(5))
    lifted = np.zeros(lowest.size, bool)
    for column in columns:
        here, is_open = column == lowest, column == 0
        run *= ~is_open
        run_width *= run > 0
        run_width += run > 0
        run += here
        n_lowest += here
        better = here & (run - np.int8(1) > saved)
        np.copyto(saved, run - np.int8(1), where=better)
        np.copyto(width, run_width, where=better)
        lifted = (lifted | is_open & (saved > 0)) & ~better
    cost = price_barre(1, width - np.int8(1), np.float32)
    cost += np.float32(effort.BARRE_FIRST_FRET) * (width + np.int8(1)) * (lowest == 1)
    cost += np.float32(effort.BARRE_LIFT) * lifted
    return _LowBarres(n_lowest, saved, cost)


@lru_cache(maxsize=16)
def _tabulate_spread(fretboard: Fretboard, hand: Hand) -> Floats:
    """Tabulate the cost of so many fingers between two frets: [fingers, lowest, highest]."""
    along = measure_distances_mm(fretboard)[..., 0]
    lowest, highest = np.ogrid[: len(along), : len(along)]
    distance = np.maximum(along, ACROSS_SHARE * STRING_GAP_MM)
    high = effort.HIGH * np.maximum(0, highest + fretboard.capo_fret - effort.HIGH_FRET)
    table = np.zeros((max(4, fretboard.n_strings) + 1, *along.shape))
    for fingers in (1, 2, 3, 4):
        table[fingers] = high + USUAL_CROWDING[fingers] + _weigh_spread(fingers, distance, highest - lowest, hand)
    for fingers in range(5, len(table)):
        table[fingers] = table[4] + effort.BEYOND + effort.EXTRA_FINGER * (fingers - 4)
    return table.astype(np.float32)


@lru_cache(maxsize=16)
def _tabulate_gap(fretboard: Fretboard, hand: Hand) -> Floats:
    """Tabulate what it costs that index and middle finger, when all four are needed, are more than a fret apart."""
    along = measure_distances_mm(fretboard)[..., 0]
    lowest, second = np.ogrid[: len(along), : len(along)]
    stretch, too_far = price_stretch(along, (1, 2), hand)
    return np.asarray(stretch + price_skipped(second - lowest, (1, 2)) + effort.BEYOND * too_far, np.float32)


def _weigh_spread(
    fingers: int, distance: NDArray[np.float64], frets: NDArray[np.int64], hand: Hand
) -> NDArray[np.float64]:
    """Return the least cost of so many fingers whose outermost are so far apart."""
    if fingers == 1:
        return np.full_like(distance, effort.FINGER)
    best = np.full_like(distance, np.inf)
    for chosen in combinations((1, 2, 3, 4), fingers):
        pair = (chosen[0], chosen[-1])
        cost, too_far = price_stretch(distance, pair, hand)
        cost += effort.SPREAD * distance / hand.reach_mm + effort.IDLE_INDEX * (chosen[0] - 1)
        cost += price_skipped(frets, pair) + effort.BEYOND * too_far
        cost += sum(effort.FINGER + effort.WEAKNESS[finger] for finger in chosen)
        best = np.minimum(best, cost)
    return best
