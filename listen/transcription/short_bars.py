"""Short bars: a bar of two beats among bars of four has a length of its own, and its missing beats are not counted.

What a hand drops elsewhere stays in the count, as beats that were not played: the bar is written whole.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.transcription.countings import Counting

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class CountedBars:
    """The bars of one tempo in steps of its pulse.

    Parameters
    ----------
    steps, bars : ndarray of int, shape (n_strokes,)
        Where each stroke lies, from the first bar line; the index of its bar.
    lines : ndarray of int, shape (n_bars + 1,)
        The first step of each bar, and the end of the last.
    lengths : dict of int to int
        Beats of the short bars, by index.
    dropped : dict of int to float
        Beats by which other bars are shorter than they are counted (longer where less than 0), by index.
    """

    steps: Ints
    bars: Ints
    lines: Ints
    lengths: Mapping[int, int]
    dropped: Mapping[int, float]


def count_bars(counting: Counting, struck: Ints, *, is_told: bool) -> CountedBars:
    """Count the bars of one tempo, short ones as short as they are.

    Short is half a bar of four beats, where that much is missing in one place; where bar lines are told any bar that
    lacks whole beats is. A pickup is as short as it is already.

    Parameters
    ----------
    counting : Counting
    struck : ndarray of int, shape (n_strokes,)
        Steps from the first stroke, as they were struck.
    is_told : bool
        Whether other bar lines than the first are told.
    """
    bar, at = counting.bar, counting.steps
    n = bar.n_steps
    slips = np.diff(at - struck, prepend=at[0])
    dropped = _find_dropped(at, slips, n)
    lines = np.arange(0, n * (int(at[-1]) // n + 1) + 1, n)
    counted = np.ones(lines[-1] + 1, np.int64)
    lengths: dict[int, int] = {}
    for end, slip in zip(at[slips > 0].tolist(), slips[slips > 0].tolist(), strict=True):
        index, (beats, rest) = (end - 1) // n, divmod(slip, bar.per_beat)
        is_half = bar.beats == 4 and 2 * beats == bar.beats
        is_alone = slip == dropped.get(index) and (end - slip) // n == index
        if not rest and is_alone and (is_told or is_half) and end > n * bool(at[0] % n):
            lengths[index] = bar.beats - beats
            counted[end - slip : end] = 0
            del dropped[index]
    before = np.cumsum(counted) - counted
    beats_dropped = {index: n_steps / bar.per_beat for index, n_steps in dropped.items() if n_steps}
    return CountedBars(before[at], at // n, before[lines], lengths, beats_dropped)


def _find_dropped(at: Ints, slips: Ints, n: int) -> dict[int, int]:
    """Find how many steps each bar lacks, or has too many where less than 0: what slips lies before a stroke."""
    dropped: defaultdict[int, int] = defaultdict(int)
    for end, slip in zip(at.tolist(), slips.tolist(), strict=True):
        for step in range(end - slip, end) if slip > 0 else [end - 1] * -slip:
            dropped[step // n] += 1 if slip > 0 else -1
    return dict(dropped)
