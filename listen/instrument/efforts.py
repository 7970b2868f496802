"""Efforts of many shapes at once: the same measure as :mod:`fingering <listen.instrument.fingering>`, in numpy.

Conventions: shapes are rows of an int8 array, highest-numbered string first, -1 where a string is not played. A *plan*
is one shape with one division of its stopped strings among fingers; all plans of all shapes are laid out in one long
array and weighed together, then the best plan of each shape is kept. The slow and readable twin is
:func:`~listen.instrument.fingering.best_fingering`; a test holds the two equal.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from listen.errors import bad_value
from listen.instrument import effort
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import (
    ACROSS_SHARE,
    EASY_SHARE,
    GREATEST_SHARE,
    PRESS_BACK,
    RELAXED_SHARE,
    STRING_GAP_MM,
    USUAL_HAND,
    Hand,
)
from listen.instrument.shape import Shape

Frets = NDArray[np.int8]
Floats = NDArray[np.float32]

_FAILURE = np.float32(1000.0)  # for each thing the hand lacks while plans are compared: the fewest failures come first
_SIDE = 16  # strings are packed in four bits


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
    >>> measure_efforts(both, Fretboard()).effort.round(1).tolist()
    [2.1, 4.1]
    """
    if frets.ndim != 2 or frets.shape[1] != fretboard.n_strings:
        raise bad_value("shapes", frets.shape, allowed=f"rows of {fretboard.n_strings} frets")
    frets = np.ascontiguousarray(frets, dtype=np.int8)
    best = _weigh_plans(frets, frets, fretboard, hand=hand)
    may_thumb = (frets[:, 0] > 0) & (hand.thumb | (best >= _FAILURE / 2))
    rows = np.flatnonzero(may_thumb)
    if rows.size:
        best[rows] = np.minimum(best[rows], _weigh_thumb(frets[rows], fretboard, hand=hand))
    playable = best < _FAILURE / 2
    best = np.where(playable, best, np.fmod(best, _FAILURE) + np.float32(effort.BEYOND))
    if hand.picking == "pick":
        best += tabulate_muting(frets.shape[1])[encode_states(frets.T)]
    return Efforts(best, playable)


def _weigh_thumb(frets: Frets, fretboard: Fretboard, *, hand: Hand) -> Floats:
    """Weigh the plans that stop the lowest string with the thumb."""
    without = frets.copy()
    without[:, 0] = -1
    others = np.where(without > 0, without, 127).min(axis=1)
    against = np.where(others < 127, frets[:, 0] - others, 0)
    fails = (against < effort.THUMB_REACH[0]) | (against > effort.THUMB_REACH[1]) | (not hand.thumb)
    weighed = _weigh_plans(without, frets, fretboard, hand=hand) + np.float32(effort.THUMB)
    return np.asarray(weighed + fails * _FAILURE, dtype=np.float32)


def _weigh_plans(stopped: Frets, frets: Frets, fretboard: Fretboard, *, hand: Hand) -> Floats:
    """Return each shape's best plan without muting; ``stopped`` leaves out what the thumb holds."""
    n, n_strings = stopped.shape
    joins, before = _find_joins(stopped)
    count = (stopped > 0).sum(axis=1)
    best = np.where(count == 0, np.float32(0.0), np.float32(np.inf))
    plan_rows, plan_masks = _list_plans(joins, count, n_strings)
    for rows, masks, extra in ((plan_rows, plan_masks, False), _list_too_many(joins, count)):
        if not rows.size:
            continue
        plans = _Plans.lay_out(stopped[rows], before[rows], masks, too_many=extra)
        has_open = (frets[rows] == 0).any(axis=1)
        costs = _weigh(plans, has_open, fretboard, hand=hand)
        np.minimum.at(best, rows, costs)
    return best


def _find_joins(frets: Frets) -> tuple[NDArray[np.int16], Frets]:
    """Find which strings one finger may hold together with the string before it at the same fret.

    Returns
    -------
    (joins, before)
        Bit s of ``joins`` is set when string s may be joined; ``before`` (n, n_strings) is the string it joins.
    """
    n, n_strings = frets.shape
    joins = np.zeros(n, np.int16)
    before = np.zeros((n, n_strings), np.int8)
    for string in range(1, n_strings):
        here = frets[:, string]
        still = here > 0
        for other in range(string - 1, -1, -1):
            there = frets[:, other]
            match = still & (there == here)
            joins |= match.astype(np.int16) << string
            before[match, string] = other
            still &= (there > here) | (there < 0)
    return joins, before


def _list_plans(
    joins: NDArray[np.int16], count: NDArray[np.int64], n_strings: int
) -> tuple[NDArray[np.int64], NDArray[np.int16]]:
    """List every shape with every choice of joins that leaves four fingers or fewer."""
    rows, masks = [], []
    fits = (count > 0) & (count <= 4)
    rows.append(np.flatnonzero(fits))
    masks.append(np.zeros(rows[0].size, np.int16))
    for mask in range(2, 1 << n_strings, 2):
        chosen = np.flatnonzero(((mask & ~joins) == 0) & (count - mask.bit_count() <= 4))
        if chosen.size:
            rows.append(chosen)
            masks.append(np.full(chosen.size, mask, np.int16))
    return np.concatenate(rows), np.concatenate(masks)


def _list_too_many(
    joins: NDArray[np.int16], count: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int16], bool]:
    """List the shapes that need five fingers whatever is joined, with everything joined."""
    bits = np.array([mask.bit_count() for mask in range(1 << 8)], np.int8)
    joined = bits[joins & 0xFF] + bits[(joins >> 8) & 0xFF]
    rows = np.flatnonzero(count - joined > 4)
    return rows, joins[rows], True


@dataclass(frozen=True, slots=True)
class _Plans:
    """Up to four fingers of every plan, by fret and then from the bass side.

    ``fret``, ``first``, ``last`` are (n, 4) int16, 0 where there is no finger; ``lift`` and ``inside`` are (n, 4): whether the string
    beside a barre lies lower, and how many strings inside it another finger holds; ``extra`` counts fingers beyond four.
    """

    fret: NDArray[np.int16]
    first: NDArray[np.int16]
    last: NDArray[np.int16]
    lift: NDArray[np.bool_]
    inside: NDArray[np.int16]
    count: NDArray[np.int64]
    extra: NDArray[np.int64]

    @classmethod
    def lay_out(cls, frets: Frets, before: Frets, masks: NDArray[np.int16], *, too_many: bool) -> _Plans:
        n, n_strings = frets.shape
        joined = (masks[:, None] >> np.arange(n_strings, dtype=np.int16)) & 1 == 1
        last = np.tile(np.arange(n_strings, dtype=np.int16), (n, 1))
        for string in range(n_strings - 1, 0, -1):
            rows = np.flatnonzero(joined[:, string])
            last[rows, before[rows, string]] = last[rows, string]
        starts = (frets > 0) & ~joined
        none = np.int16(np.iinfo(np.int16).max)
        packed = (frets.astype(np.int16) * _SIDE + np.arange(n_strings, dtype=np.int16)) * _SIDE + last
        packed = np.sort(np.where(starts, packed, none), axis=1)
        if n_strings < 4:
            packed = np.pad(packed, ((0, 0), (0, 4 - n_strings)), constant_values=none)
        total = starts.sum(axis=1)
        if too_many:
            packed[:, 3] = packed[np.arange(n), total - 1]
        packed = packed[:, :4]
        used = packed < none
        fret = np.where(used, packed // (_SIDE * _SIDE), 0).astype(np.int16)
        first = np.where(used, packed // _SIDE % _SIDE, 0).astype(np.int16)
        ends = np.where(used, packed % _SIDE, 0).astype(np.int16)
        padded = np.pad(frets, ((0, 0), (0, 1)), constant_values=-1).astype(np.int16)
        beside = np.take_along_axis(padded, ends.astype(np.int64) + 1, axis=1)
        barre = ends > first
        inside = np.zeros_like(fret)
        for string in range(1, n_strings - 1):
            held = frets[:, string, None]
            inside += (barre & (first < string) & (string < ends) & (held > fret)).astype(np.int16)
        extra = np.maximum(total - 4, 0)
        return cls(fret, first, ends, barre & (beside >= 0) & (beside < fret), inside, np.minimum(total, 4), extra)


@dataclass(frozen=True, slots=True)
class _PairCosts:
    """What two fingers cost, by lower fret, higher fret, strings apart (flattened) and pair of fingers.

    ``beside`` is for neighbouring fingers, ``around`` for the outermost of three or four, ``only`` for two alone.
    """

    beside: Floats
    around: Floats
    only: Floats


_PAIRS = ((1, 2), (1, 3), (1, 4), (2, 3), (2, 4), (3, 4))


@lru_cache(maxsize=16)
def _tabulate_pairs(fretboard: Fretboard, hand: Hand) -> _PairCosts:
    wires = np.array([fretboard.wire_mm(fret) for fret in range(fretboard.top_fret + 1)])
    spaces = np.diff(wires, prepend=0.0)
    lower, higher, apart = np.ogrid[: wires.size, : wires.size, : fretboard.n_strings]
    along = np.where(higher > lower, wires[higher] - wires[lower] - PRESS_BACK * spaces[higher], 0.0)
    distance = np.hypot(along, ACROSS_SHARE * STRING_GAP_MM * apart)[..., None]
    easy, greatest, relaxed = (
        hand.reach_mm * np.array([table[pair] for pair in _PAIRS]) for table in (EASY_SHARE, GREATEST_SHARE, RELAXED_SHARE)
    )
    around = effort.STRETCH * np.square(np.maximum(0.0, (distance - easy) / (greatest - easy)))
    around += effort.CROWD * np.maximum(0.0, 1.0 - distance / relaxed) + float(_FAILURE) * (distance > greatest)
    skipped = np.maximum(0, (higher - lower)[..., None] - np.array([high - low for low, high in _PAIRS]))
    narrow = np.where((lower == higher) & (apart == 1), np.maximum(0.0, 1.0 - spaces[lower] / effort.NARROW_MM), 0.0)
    beside = around + effort.SKIPPED_FRET * skipped + effort.NARROW * narrow[..., None]
    spread = effort.SPREAD / hand.reach_mm * distance
    flat = [
        np.ascontiguousarray(table.reshape(-1, len(_PAIRS)).T, np.float32)
        for table in (beside, around + spread, beside + spread)
    ]
    return _PairCosts(*flat)


def _weigh(plans: _Plans, has_open: NDArray[np.bool_], fretboard: Fretboard, *, hand: Hand) -> Floats:
    """Return the least cost of each plan over the choices of fingers for it."""
    costs = np.empty(plans.count.size, np.float32)
    for count in (1, 2, 3, 4):
        rows = np.flatnonzero(plans.count == count)
        if rows.size:
            costs[rows] = _weigh_count(plans, rows, count, has_open[rows], fretboard, hand=hand)
    return costs


def _weigh_count(
    plans: _Plans, rows: NDArray[np.int64], count: int, has_open: NDArray[np.bool_], fretboard: Fretboard, *, hand: Hand
) -> Floats:
    """Weigh the plans that use so many fingers."""
    fret, first, last = (table[rows, :count].T for table in (plans.fret, plans.first, plans.last))
    extra = plans.extra[rows]
    barre = (last > first).astype(np.float32)
    width = np.maximum(last - first - 1, 0).astype(np.float32)
    same = np.float32(effort.FINGER * count) + np.float32(effort.FINGER + effort.EXTRA_FINGER) * extra.astype(np.float32)
    same += _FAILURE * (extra > 0)
    same += np.float32(effort.HIGH) * np.maximum(fret[-1] + np.int16(fretboard.capo_fret - effort.HIGH_FRET), 0)
    if barre.any():
        same += (np.float32(effort.BARRE_LIFT) * plans.lift[rows, :count].T).sum(axis=0)
        same += (np.float32(effort.BARRE_INSIDE) * plans.inside[rows, :count].T).sum(axis=0)
        same += np.float32(effort.BARRE_FIRST_FRET) * (barre * (fret == 1)).sum(axis=0)
    tables = _tabulate_pairs(fretboard, hand)
    looked_up = []
    for low, high in [(slot, slot + 1) for slot in range(count - 1)] + ([(0, count - 1)] if count > 2 else []):
        apart = np.maximum(np.maximum(first[low] - last[high], first[high] - last[low]), 0)
        spot = (fret[low].astype(np.int32) * (fretboard.top_fret + 1) + fret[high]) * fretboard.n_strings + apart
        table = tables.only if count == 2 else tables.around if high > low + 1 else tables.beside
        looked_up.append((low, high, table, spot))
        if high == low + 1:
            same += np.float32(effort.CROSS) * (np.maximum(first[low] - first[high], 0) * (fret[low] != fret[high]))
    near_nut = has_open & (fret[-1] <= effort.NEAR_NUT)
    closed = (~has_open).astype(np.float32)
    best = np.full(rows.size, np.inf, np.float32)
    for fingers in combinations((1, 2, 3, 4), count):
        cost = np.full(rows.size, sum(effort.WEAKNESS[finger] for finger in fingers), np.float32)
        for slot, finger in enumerate(fingers):
            cost += barre[slot] * np.float32(effort.BARRE[finger]) + width[slot] * np.float32(effort.BARRE_STRING[finger])
        for low, high, table, spot in looked_up:
            cost += table[_PAIRS.index((fingers[low], fingers[high]))][spot]
        cost += closed * np.float32(effort.IDLE_INDEX * (fingers[0] - 1))
        cost += near_nut * (np.float32(effort.OUT_OF_PLACE) * np.abs(fret[0] - np.int16(fingers[0])))
        np.minimum(best, cost, out=best)
    return np.asarray(best + same, dtype=np.float32)


def encode_states(columns: Frets) -> NDArray[np.int32]:
    """Number rows of not played, open and stopped strings in base three; strings first, shapes second."""
    states = np.sign(columns) + np.int8(1)
    code = np.zeros(columns.shape[1], np.int32)
    for column in states:
        code *= 3
        code += column
    return code


@lru_cache(maxsize=8)
def tabulate_muting(n_strings: int) -> Floats:
    """Tabulate the cost of unplayed strings for every row of :func:`encode_states`."""
    states = product((None, 0, 1), repeat=n_strings)
    return np.array([effort.estimate_muting(Shape(state)) for state in states], np.float32)
