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
from listen.instrument.tuning import MOST_STRINGS

Frets = NDArray[np.int8]
Floats = NDArray[np.float32]

_FAILURE = np.float32(1000.0)  # for each thing the hand lacks while plans are compared: the fewest failures come first
_SIDE = np.int16(16)  # strings are packed in four bits
_POPCOUNT = np.array([number.bit_count() for number in range(1 << MOST_STRINGS)], np.int8)


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
    may_thumb = (columns[0] > 0) & (hand.thumb | (best >= _FAILURE / 2))
    rows = np.flatnonzero(may_thumb)
    if rows.size:
        best[rows] = np.minimum(best[rows], _weigh_thumb(columns[:, rows], fretboard, hand=hand))
    playable = best < _FAILURE / 2
    best = np.where(playable, best, np.fmod(best, _FAILURE) + np.float32(effort.BEYOND))
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
    return np.asarray(weighed + fails * _FAILURE, dtype=np.float32)


def _weigh_shapes(columns: Frets, has_open: NDArray[np.bool_], fretboard: Fretboard, *, hand: Hand) -> Floats:
    """Return each shape's best plan, without what the picking hand has to damp."""
    joins, before = _find_joins(columns)
    count = (columns > 0).sum(axis=0, dtype=np.int8)
    best = np.where(count == 0, np.float32(0.0), np.float32(np.inf))
    rows, masks = _list_plans(joins, count, len(columns))
    if rows.size:
        plans = _lay_out(columns[:, rows], before[:, rows], masks)
        np.minimum.at(best, rows, _weigh(plans, has_open[rows], fretboard, hand=hand))
    return best


def _find_joins(columns: Frets) -> tuple[NDArray[np.int16], Frets]:
    """Find which strings one finger may hold together with the string before it at the same fret.

    Returns
    -------
    (joins, before)
        Bit s of ``joins`` is set when string s may be joined; ``before`` (n_strings, n) is the string it joins.
    """
    joins = np.zeros(columns.shape[1], np.int16)
    before = np.zeros_like(columns)
    for string in range(1, len(columns)):
        here = columns[string]
        still = here > 0
        for other in range(string - 1, -1, -1):
            there = columns[other]
            match = still & (there == here)
            joins |= match.astype(np.int16) << np.int16(string)
            before[string] += match * np.int8(other)
            if other:
                still &= (there > here) | (there < 0)
    return joins, before


def _list_plans(
    joins: NDArray[np.int16], count: NDArray[np.int8], n_strings: int
) -> tuple[NDArray[np.int64], NDArray[np.int16]]:
    """List every shape with every choice of joins that leaves four fingers or fewer.

    Where none does, everything is joined: the fifth finger is then counted as what the hand lacks.
    """
    joinable = _POPCOUNT[joins]
    rows = np.repeat(np.arange(joins.size), np.where(count > 0, np.int64(1) << joinable, 0))
    starts = np.flatnonzero(np.diff(rows, prepend=-1))
    choice = (np.arange(rows.size) - np.repeat(starts, np.diff(starts, append=rows.size))).astype(np.int16)
    allowed = joins[rows]
    masks = np.zeros(rows.size, np.int16)
    for string in range(1, n_strings):  # the bits of the choice, dealt out over the strings that may be joined
        joined = (allowed >> np.int16(string)) & np.int16(1)
        masks |= (choice & joined) << np.int16(string)
        choice >>= joined
    few = (count[rows] - _POPCOUNT[masks] <= 4) | ((masks == allowed) & (count - joinable > 4)[rows])
    return rows[few], masks[few]


@dataclass(frozen=True, slots=True)
class _Plans:
    """Up to four fingers of every plan, by fret and then from the bass side: arrays of shape (4, n), 0 for no finger.

    ``lift`` tells whether a barre has to clear the string beside it, ``gap`` whether it stops only the outer two of
    three strings, ``silent`` the strings under it that must not sound and are not damped; ``count`` and ``extra`` are
    the fingers used and those beyond four.
    """

    fret: NDArray[np.int16]
    first: NDArray[np.int16]
    last: NDArray[np.int16]
    lift: NDArray[np.bool_]
    gap: NDArray[np.bool_]
    silent: NDArray[np.int8]
    count: NDArray[np.int16]
    extra: NDArray[np.int16]


def _lay_out(columns: Frets, before: Frets, masks: NDArray[np.int16]) -> _Plans:
    """Turn joins into fingers, in the order in which hands take them: see :func:`fingering._order`."""
    n_strings, n = columns.shape
    none = np.iinfo(np.int16).max
    joined = [((masks >> np.int16(string)) & np.int16(1)).astype(bool) for string in range(n_strings)]
    last = [np.full(n, string, np.int16) for string in range(n_strings)]
    packed = []
    lowest = np.where(columns > 0, columns, np.int8(127)).min(axis=0, initial=127)
    for string in range(n_strings - 1, -1, -1):
        starts = (columns[string] > 0) & ~joined[string]
        later = ((last[string] == string) | (columns[string] > lowest)).astype(np.int16)
        number = ((columns[string].astype(np.int16) * np.int16(2) + later) * _SIDE + np.int16(string)) * _SIDE
        number += last[string]
        packed.append(np.where(starts, number, np.int16(none)))
        for other in range(string):
            np.copyto(last[other], last[string], where=joined[string] & (before[string] == other))
    total = np.sum([each < none for each in packed], axis=0, dtype=np.int16)
    ordered = _sort_columns(packed + [np.full(n, none, np.int16)] * (4 - n_strings))
    for slot in range(4, len(ordered)):  # of five fingers and more, the three lowest and the highest
        ordered[3] = np.where(ordered[slot] < none, ordered[slot], ordered[3])
    fingers = np.stack(ordered[:4])
    fingers[fingers == none] = 0
    fret, first, ends = fingers >> 9, (fingers >> 4) & np.int16(15), fingers & np.int16(15)
    barre = ends > first
    lift, gap, silent = np.zeros((4, n), bool), np.zeros((4, n), bool), np.zeros((4, n), np.int8)
    if barre.any():
        for string in range(1, n_strings):
            held = columns[string]
            gap |= barre & (first == string - 1) & (ends == string + 1) & (held != fret)
            lift |= barre & (ends == string - 1) & (held >= 0) & (held <= fret)
            if string + 1 < n_strings:
                beside = np.maximum(columns[string - 1], columns[string + 1])
                silent += barre & (first < string) & (ends > string) & (held < 0) & (beside <= fret)
    return _Plans(
        fret,
        first,
        ends,
        lift,
        gap,
        silent,
        np.minimum(total, np.int16(4)),
        np.maximum(total - np.int16(4), np.int16(0)),
    )


def _sort_columns(columns: list[NDArray[np.int16]]) -> list[NDArray[np.int16]]:
    """Sort across the columns by odd-even exchanges: a dozen vector steps beat a sort of every short row."""
    ordered = list(columns)
    for turn in range(len(ordered)):
        for low in range(turn % 2, len(ordered) - 1, 2):
            one, other = ordered[low], ordered[low + 1]
            ordered[low], ordered[low + 1] = np.minimum(one, other), np.maximum(one, other)
    return ordered


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
        hand.reach_mm * np.array([table[pair] for pair in _PAIRS])
        for table in (EASY_SHARE, GREATEST_SHARE, RELAXED_SHARE)
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


@lru_cache(maxsize=1)
def _tabulate_barres() -> Floats:
    """Tabulate what a finger costs by itself: [finger - 1, strings from its first to its last]."""
    table = np.empty((4, _SIDE), np.float32)
    for finger in (1, 2, 3, 4):
        flat = [effort.BARRE[finger] + effort.BARRE_STRING[finger] * more for more in range(_SIDE - 1)]
        table[finger - 1] = effort.WEAKNESS[finger] + np.array([0.0, *flat])
    return table


def _weigh_count(
    plans: _Plans, rows: NDArray[np.int64], count: int, has_open: NDArray[np.bool_], fretboard: Fretboard, *, hand: Hand
) -> Floats:
    """Weigh the plans that use so many fingers."""
    fret, first, last = (
        [table[slot, rows] for slot in range(count)] for table in (plans.fret, plans.first, plans.last)
    )
    same = np.float32(effort.HIGH) * np.maximum(fret[-1] + np.int16(fretboard.capo_fret - effort.HIGH_FRET), 0)
    same = same.astype(np.float32) + np.float32(effort.FINGER * count)
    if count == 4:
        extra = plans.extra[rows]
        same += np.float32(effort.FINGER + effort.EXTRA_FINGER) * extra + _FAILURE * (extra > 0)
    alone = []
    for slot in range(count):
        strings = last[slot] - first[slot]
        same += np.float32(effort.BARRE_LIFT) * plans.lift[slot, rows]
        same += np.float32(effort.BARRE_GAP) * plans.gap[slot, rows]
        same += np.float32(effort.BARRE_SILENT) * plans.silent[slot, rows]
        same += np.float32(effort.BARRE_FIRST_FRET) * (strings + 1) * ((strings > 0) & (fret[slot] == 1))
        alone.append(_tabulate_barres()[:, strings])
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
    best = np.full(rows.size, np.inf, np.float32)
    for fingers in combinations((1, 2, 3, 4), count):
        cost = np.where(has_open, np.float32(0.0), np.float32(effort.IDLE_INDEX * (fingers[0] - 1)))
        cost += near_nut * (np.float32(effort.OUT_OF_PLACE) * np.abs(fret[0] - np.int16(fingers[0])))
        for slot, finger in enumerate(fingers):
            cost += alone[slot][finger - 1]
        for low, high, table, spot in looked_up:
            cost += table[_PAIRS.index((fingers[low], fingers[high]))][spot]
        np.minimum(best, cost, out=best)
    return np.asarray(best + same, dtype=np.float32)


def encode_states(columns: Frets) -> NDArray[np.int32]:
    """Return the strings of each shape (not played, open, stopped) as a number in base three."""
    states = np.sign(columns) + np.int8(1)
    code = np.zeros(columns.shape[1], np.int32)
    for column in states:
        code *= 3
        code += column
    return code


@lru_cache(maxsize=8)
def tabulate_muting(n_strings: int) -> Floats:
    """Tabulate what unplayed strings cost with a pick, by the numbers of :func:`encode_states`."""
    places = 3 ** np.arange(n_strings - 1, -1, -1)[:, None]
    return measure_muting(((np.arange(3**n_strings) // places) % 3 - 1).astype(np.int8))


def measure_muting(columns: Frets) -> Floats:
    """Measure what each shape's unplayed strings cost with a pick (see :func:`effort.estimate_muting`)."""
    n_strings, n = columns.shape
    played, stopped = columns >= 0, columns > 0
    left_out, inner, cost = np.zeros(n, np.int8), np.zeros(n, np.int8), np.zeros(n, np.float32)
    begun = np.zeros(n, bool)
    pending, pending_cost = np.zeros(n, np.int8), np.zeros(n, np.float32)
    for string in range(n_strings):
        here = played[string]
        inner += pending * (here & begun)
        cost += pending_cost * (here & begun)
        left_out += ~here
        begun |= here
        damped = stopped[string - 1] if string else np.zeros(n, bool)
        damped = damped | stopped[string + 1] if string + 1 < n_strings else damped
        pending = np.where(here, np.int8(0), pending + (begun & ~here))
        price = np.where(damped, np.float32(effort.MUTE_DAMPED), np.float32(effort.MUTE_INNER))
        pending_cost = np.where(here, np.float32(0.0), pending_cost + price * begun)
    cost += np.float32(effort.MUTE_OUTER) * (left_out - inner)
    cost += np.float32(effort.MUTE_MORE) * np.maximum(inner - np.int8(1), 0)
    idle = np.float32(effort.MUTE_OUTER) * (left_out - inner) + np.float32(effort.MUTE_IDLE) * inner
    return np.asarray(np.where(stopped.any(axis=0), cost, idle) * begun, np.float32)
