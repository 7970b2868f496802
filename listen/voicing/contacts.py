"""Contacts: how many fingers the stopped frets need at least, string by string.

Read from the bass side, a stopped fret needs a new finger unless one that already holds that fret can be laid flat
over to it: nothing between may be lower or open. So it is enough to remember which frets can still be extended, as
bits above the position, how many fingers are down, and whether the position itself is stopped. The count equals the
number of fingers when everything that can be joined under a barre is joined.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard, Hand, estimate_stretch_mm


@dataclass(frozen=True, slots=True)
class Automaton:
    """What each string does to the count.

    Parameters
    ----------
    start : int
        State before the first string.
    skip, ring : ndarray, shape (n_states,), int32
        Next state when the string is not played, or open.
    stop : ndarray, shape (n_offsets, n_states), int32
        Next state when it is stopped so many frets above the position; -1 when that needs a finger too many.
    touched : ndarray, shape (n_states,), bool
        Whether a string is stopped at the position itself.
    fingers : ndarray, shape (n_states,), int8
        How many fingers are down.
    """

    start: int
    skip: NDArray[np.int32]
    ring: NDArray[np.int32]
    stop: NDArray[np.int32]
    touched: NDArray[np.bool_]
    fingers: NDArray[np.int8]


@lru_cache(maxsize=32)
def load_automaton(n_offsets: int, most_fingers: int) -> Automaton:
    """Build the automaton for so many frets above the position.

    Examples
    --------
    >>> steps = load_automaton(3, 4)
    >>> state = steps.stop[0][steps.start]      # the position stopped by one finger
    >>> steps.stop[0][state] == state           # the next string at the same fret: the same finger
    np.True_
    """
    numbers: dict[tuple[int, int, bool], int] = {(0, 0, False): 0}
    order = [(0, 0, False)]
    ring: list[int] = []
    stop: list[list[int]] = [[] for _ in range(n_offsets)]

    def number(state: tuple[int, int, bool]) -> int:
        if state not in numbers:
            numbers[state] = len(order)
            order.append(state)
        return numbers[state]

    index = 0
    while index < len(order):
        reachable, fingers, touched = order[index]
        ring.append(number((0, fingers, touched)))
        for offset in range(n_offsets):
            joins = reachable >> offset & 1
            needed = fingers + (1 - joins)
            below = (reachable | 1 << offset) & ((2 << offset) - 1)
            state = (below, needed, touched or offset == 0)
            stop[offset].append(number(state) if needed <= most_fingers else -1)
        index += 1
    return Automaton(
        0,
        np.arange(len(order), dtype=np.int32),
        np.array(ring, np.int32),
        np.array(stop, np.int32),
        np.array([touched for _, _, touched in order], bool),
        np.array([fingers for _, fingers, _ in order], np.int8),
    )


@lru_cache(maxsize=32)
def reach_in_frets(fretboard: Fretboard, hand: Hand) -> NDArray[np.int64]:
    """Tell for every fret how many frets farther the hand can reach; a thumb may lie a fret below the fingers."""
    reach = []
    for fret in range(fretboard.top_fret + 1):
        farther = 0
        while fret + farther < fretboard.top_fret and (
            estimate_stretch_mm(fretboard, fret=fret, higher_fret=fret + farther + 1) <= hand.reach_mm
        ):
            farther += 1
        reach.append(farther)
    if hand.thumb:
        reach = [max(2, here, above + 1) for here, above in zip(reach, [*reach[1:], 0], strict=True)]
    return np.minimum(reach, fretboard.top_fret - np.arange(len(reach)))
