"""Plans: every division of a shape's stopped strings among fingers, for many shapes at once.

Conventions: shapes are columns of an int8 array, the highest-numbered string first, -1 where a string is not played. A
*plan* is one shape with one division; a finger holds strings of one fret, and what lies between them is stopped above.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.instrument.tuning import MOST_STRINGS

Frets = NDArray[np.int8]

SIDE = np.int16(16)
"""Strings are packed in four bits."""
_POPCOUNT = np.array([number.bit_count() for number in range(1 << MOST_STRINGS)], np.int8)


def find_joins(columns: Frets) -> tuple[NDArray[np.int16], Frets]:
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


def list_plans(
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
class Plans:
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


def lay_out(columns: Frets, before: Frets, masks: NDArray[np.int16]) -> Plans:
    """Turn joins into fingers, in the order in which hands take them: by fret, then from the bass side."""
    n_strings, n = columns.shape
    none = np.iinfo(np.int16).max
    joined = [((masks >> np.int16(string)) & np.int16(1)).astype(bool) for string in range(n_strings)]
    last = [np.full(n, string, np.int16) for string in range(n_strings)]
    packed = []
    for string in range(n_strings - 1, -1, -1):
        starts = (columns[string] > 0) & ~joined[string]
        number = (columns[string].astype(np.int16) * SIDE + np.int16(string)) * SIDE + last[string]
        packed.append(np.where(starts, number, np.int16(none)))
        for other in range(string):
            np.copyto(last[other], last[string], where=joined[string] & (before[string] == other))
    total = np.sum([each < none for each in packed], axis=0, dtype=np.int16)
    ordered = _sort_columns(packed + [np.full(n, none, np.int16)] * (4 - n_strings))
    for slot in range(4, len(ordered)):  # of five fingers and more, the three lowest and the highest
        ordered[3] = np.where(ordered[slot] < none, ordered[slot], ordered[3])
    fingers = np.stack(ordered[:4])
    fingers[fingers == none] = 0
    fret, first, ends = fingers >> 8, (fingers >> 4) & np.int16(15), fingers & np.int16(15)
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
    return Plans(
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
