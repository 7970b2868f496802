"""Ideas: the first shapes to look at, each another way to hold the chord, with near-copies folded beneath.

Conventions: two shapes are *near-copies* when the strings that both sound differ on one at most, and most agree: a
string more or less, or one doubled tone chosen otherwise; or when one is the other twelve frets up. The best of them
stands for all. The ideas that are shown differ by the string and the tone of the bass and by region of the neck: each
one shown makes those like it cost more, after the maximal marginal relevance of Carbonell & Goldstein.

References
----------
J. Carbonell, J. Goldstein, "The use of MMR, diversity-based reranking for reordering documents and producing
summaries", SIGIR 1998.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.voicing.traits import lowest_stopped
from listen.voicing.voicings import Voicings

LOOKED_AT = 400  # best shapes: the eighth idea of a plain chord lies within the first 200 on a guitar
SAME_BASS = 2.5  # points for each idea already shown with the same tone on the same string lowest (judged)
SAME_REGION = 1.5  # points for each within :data:`REGION` frets of it
REGION = 2
_FEWEST_SHARED = 3


@dataclass(frozen=True, slots=True)
class Idea:
    """A way to hold a chord.

    Parameters
    ----------
    place : int
        Of its best shape in what was found.
    like_it : tuple of int
        Places of its near-copies.
    """

    place: int
    like_it: tuple[int, ...]


def find_ideas(found: Voicings, n_ideas: int) -> tuple[Idea, ...]:
    """Choose the ideas to show, the first the best shape of all.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> from listen.voicing import find_shapes
    >>> found = find_shapes(parse_chord("G"))
    >>> ideas = find_ideas(found, 3)
    >>> [found.shapes[idea.place].text for idea in ideas][0], len(ideas[0].like_it) > 2
    ('320003', True)
    """
    frets = found.frets[:LOOKED_AT]
    leaders = _fold(frets)
    places = list(leaders)
    bass_string, bass_class, position = _describe(found.take(np.array(places, np.int64)))
    costs = found.costs[places].astype(np.float64)
    chosen: list[int] = []
    while len(chosen) < min(n_ideas, len(places)):
        costs_now = costs.copy()
        for other in chosen:
            costs_now += SAME_BASS * ((bass_string == bass_string[other]) & (bass_class == bass_class[other]))
            costs_now += SAME_REGION * (np.abs(position - position[other]) <= REGION)
        costs_now[chosen] = np.inf
        chosen.append(int(costs_now.argmin()))
    return tuple(Idea(places[each], tuple(leaders[places[each]])) for each in chosen)


def _fold(frets: NDArray[np.int8]) -> dict[int, list[int]]:
    """Give each shape to the first better one that it nearly copies: leader to its near-copies."""
    leaders: dict[int, list[int]] = {}
    for place in range(len(frets)):
        known = np.array(list(leaders), np.int64)
        forms = (frets[place], _lower_octave(frets[place]))
        copied = known[np.any([_are_copies(frets[known], form) for form in forms], axis=0)] if known.size else known
        if copied.size:
            leaders[int(copied[0])].append(place)
        else:
            leaders[place] = []
    return leaders


def _lower_octave(shape: NDArray[np.int8]) -> NDArray[np.int8]:
    """Return the shape twelve frets lower where all of it lies so high; itself otherwise."""
    played = shape[shape >= 0]
    return np.where(shape >= 0, shape - np.int8(12), shape) if played.min() >= 12 else shape


def _are_copies(frets: NDArray[np.int8], shape: NDArray[np.int8]) -> NDArray[np.bool_]:
    both = (frets >= 0) & (shape >= 0)
    equal = (both & (frets == shape)).sum(axis=1)
    differing = both.sum(axis=1) - equal
    least = np.minimum((frets >= 0).sum(axis=1), (shape >= 0).sum())
    enough = equal >= np.minimum(_FEWEST_SHARED, least)
    return np.asarray(enough & (differing <= 1) & (equal > 2 * differing))


def _describe(found: Voicings) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    pitches = found.pitches
    string = pitches.argmin(axis=1)
    return string, pitches.min(axis=1).astype(np.int64) % 12, lowest_stopped(found.frets).astype(np.int64)
