"""Repeats, folded: the same bars played again are written once."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

LONGEST_REPEAT = 32  # bars
LEAST_SAVED = 4  # bars, a line of the chart: less is quicker read than a repeat sign


@dataclass(frozen=True, slots=True)
class Fold:
    """A run of bars and how often it is played.

    Parameters
    ----------
    first : int
        Index of its first bar.
    length : int
        How many bars are written.
    times : int
        How often they are played; 1 for no repeat.
    """

    first: int
    length: int
    times: int = 1


def find_folds(contents: Sequence[Hashable]) -> tuple[Fold, ...]:
    """Fold repeats from left to right, at each place the one that saves most bars, and the shortest of those.

    Parameters
    ----------
    contents : sequence of hashable
        What each bar holds; equal bars are equal values.

    Examples
    --------
    >>> find_folds("ABCDABCDE")
    (Fold(first=0, length=4, times=2), Fold(first=8, length=1, times=1))
    """
    folds: list[Fold] = []
    at, plain = 0, 0
    while at < len(contents):
        best = Fold(at, 1)
        for length in range(1, min(LONGEST_REPEAT, (len(contents) - at) // 2) + 1):
            times = _count_repeats(contents, at, length)
            if length * (times - 1) >= max(LEAST_SAVED, best.length * (best.times - 1) + 1):
                best = Fold(at, length, times)
        if best.times > 1:
            if plain < at:
                folds.append(Fold(plain, at - plain))
            folds.append(best)
            plain = at + best.length * best.times
            at = plain
        else:
            at += 1
    if plain < len(contents):
        folds.append(Fold(plain, len(contents) - plain))
    return tuple(folds)


def _count_repeats(contents: Sequence[Hashable], at: int, length: int) -> int:
    times = 1
    while contents[at : at + length] == contents[at + times * length : at + (times + 1) * length]:
        times += 1
    return times
