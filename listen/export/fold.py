"""Repeats, folded: the same bars played again are written once."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

LONGEST_REPEAT = 32  # bars
LEAST_SAVED = 4  # bars, a line of the chart: less is quicker read than a repeat sign
LEAST_RETURN = 8  # bars, two lines: less is quicker read than looked up


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
    like : int or None
        Index of the first of the same bars further up, where it is a section that comes back.
    """

    first: int
    length: int
    times: int = 1
    like: int | None = None


def find_folds(contents: Sequence[Hashable], *, line: int = 1) -> tuple[Fold, ...]:
    """Fold repeats from left to right, at each place the one that saves most bars, and the shortest of those.

    Parameters
    ----------
    contents : sequence of hashable
        What each bar holds; equal bars are equal values.
    line : int
        Bars of a line, and of a phrase: a repeat begins with one and ends with one, or with the whole.

    Examples
    --------
    >>> [(fold.first, fold.length, fold.times) for fold in find_folds("ABCDABCDE")]
    [(0, 4, 2), (8, 1, 1)]
    >>> [(fold.first, fold.length, fold.times) for fold in find_folds("ABCDEFGFGFGHIJKL", line=4)]
    [(0, 16, 1)]
    """
    folds: list[Fold] = []
    at, plain = 0, 0
    while at < len(contents):
        best = Fold(at, 1)
        for length in range(1, min(LONGEST_REPEAT, (len(contents) - at) // 2) + 1):
            times = _count_repeats(contents, at, length)
            while times > 1 and not _is_phrase(at, length * times, len(contents), line):
                times -= 1
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


def mark_returns(folds: Sequence[Fold], contents: Sequence[Hashable]) -> tuple[Fold, ...]:
    """Mark sections that come back after others: a run of at least :data:`LEAST_RETURN` bars that stands further up.

    It stands there written out: bars of a second pass, or of a section that came back itself, have no number to look
    up.

    Examples
    --------
    >>> form = "ABCDEFGH" + "JKLMNOPQ" + "ABCDEFGH"
    >>> [(fold.first, fold.length, fold.like) for fold in mark_returns(find_folds(form), form)]
    [(0, 16, None), (16, 8, 0)]
    """
    marked: list[Fold] = []
    known: dict[tuple[Hashable, ...], int] = {}
    noted, written = 0, set[int]()
    for fold in folds:
        at, plain, end = fold.first, fold.first, fold.first + fold.length
        while at < end:
            while noted + LEAST_RETURN <= at:
                if written.issuperset(range(noted, noted + LEAST_RETURN)):
                    known.setdefault(tuple(contents[noted : noted + LEAST_RETURN]), noted)
                noted += 1
            like = known.get(tuple(contents[at : at + LEAST_RETURN])) if at + LEAST_RETURN <= end else None
            if like is None:
                written.add(at)
                at += 1
                continue
            length = LEAST_RETURN
            while at + length < end and like + length in written and contents[at + length] == contents[like + length]:
                length += 1
            if fold.times > 1 and length < fold.length:
                break  # part of a repeat is not taken out of it
            if plain < at:
                marked.append(Fold(plain, at - plain))
            marked.append(Fold(at, length, fold.times, like))
            at = plain = at + length
        written.update(range(at, end))
        if plain < end:
            marked.append(Fold(plain, end - plain, fold.times))
    return tuple(marked)


def _is_phrase(at: int, length: int, whole: int, line: int) -> bool:
    """Tell whether bars are whole lines, the last of all perhaps a shorter one."""
    return at % line == 0 and (length % line == 0 or at + length == whole)


def _count_repeats(contents: Sequence[Hashable], at: int, length: int) -> int:
    times = 1
    while contents[at : at + length] == contents[at + times * length : at + (times + 1) * length]:
        times += 1
    return times
