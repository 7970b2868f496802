"""Ideas: the first shapes to look at, each another way to hold the chord, with near-copies folded beneath.

Conventions: two shapes are *near-copies* when the strings that both sound differ on one at most, and most agree: a
string more or less, or one doubled tone chosen otherwise; or when one is the other twelve frets up. One stands for all:
the best with its root lowest, where no bass is asked, or one about as good, as full and clearly easier. The ideas that
are shown differ by the string and the tone of the bass and by region of the neck: each one shown makes those like it
cost more, after the maximal marginal relevance of Carbonell & Goldstein. Other tones than the root lowest cost more,
where no bass is asked.

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
INVERTED = 3.0  # points for another tone than the root lowest, where no bass is asked (judged)
ABOUT_AS_GOOD = 1.5  # points over the best of its near-copies; of 0, 1 and 1.5, what agreed best with common practice
EASIER = 0.5  # of effort, clearly less; judged
FULL = 4  # strings; fewer are thin
_FEWEST_SHARED = 3


@dataclass(frozen=True, slots=True)
class Idea:
    """A way to hold a chord.

    Parameters
    ----------
    place : int
        In what was found, of the shape that stands for it.
    like_it : tuple of int
        Places of its near-copies.
    """

    place: int
    like_it: tuple[int, ...]


def find_ideas(found: Voicings, n_ideas: int) -> tuple[Idea, ...]:
    """Choose the ideas to show, the first for the best shape of all.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> from listen.voicing import find_shapes
    >>> found = find_shapes(parse_chord("G"))
    >>> ideas = find_ideas(found, 3)
    >>> [found.shapes[idea.place].text for idea in ideas][0], len(ideas[0].like_it) > 2
    ('320003', True)
    """
    best = found[:LOOKED_AT]
    bass_string, bass_class, position = _describe(best)
    may_turn = found.chord.bass is None and found.fretboard.tuning.bears_bass
    turned = (bass_class != found.chord.root.pitch_class) & may_turn
    leaders = _fold(best, turned)
    places = list(leaders)
    bass_string, bass_class, position = bass_string[places], bass_class[places], position[places]
    first = [min((place, *copies)) for place, copies in leaders.items()]  # the best of all that are alike
    costs = best.costs[first] + INVERTED * turned[places]
    chosen: list[int] = []
    while len(chosen) < min(n_ideas, len(places)):
        costs_now = costs.astype(np.float64)
        for other in chosen:
            costs_now += SAME_BASS * ((bass_string == bass_string[other]) & (bass_class == bass_class[other]))
            costs_now += SAME_REGION * (np.abs(position - position[other]) <= REGION)
        costs_now[chosen] = np.inf
        chosen.append(int(costs_now.argmin()))
    return tuple(Idea(places[each], tuple(leaders[places[each]])) for each in chosen)


def _fold(best: Voicings, turned: NDArray[np.bool_]) -> dict[int, list[int]]:
    """Fold near-copies beneath the one that stands for them: its place, and theirs."""
    frets, lowered = best.frets, _lower_octaves(best.frets)

    def find_copies(place: int) -> NDArray[np.bool_]:
        return left & (_are_copies(frets, frets[place]) | _are_copies(lowered, frets[place]))

    left = np.ones(len(frets), bool)
    leaders: dict[int, list[int]] = {}
    while left.any():
        group = find_copies(int(left.argmax()))
        leader = _find_leader(best, np.flatnonzero(group), turned)
        group |= find_copies(leader)
        left &= ~group
        group[leader] = False
        leaders[leader] = np.flatnonzero(group).tolist()
    return leaders


def _find_leader(best: Voicings, group: NDArray[np.int64], turned: NDArray[np.bool_]) -> int:
    """Return the one that stands for its near-copies."""
    as_good = group[best.costs[group] <= best.costs[group[0]] + ABOUT_AS_GOOD]
    as_good = as_good[turned[as_good] == turned[as_good].min()]
    first = int(as_good[0])
    n_played = (best.frets >= 0).sum(axis=1)
    least = min(FULL, best.frets.shape[1] - best.fretboard.tuning.bears_bass)
    full = as_good[n_played[as_good] >= max(least, n_played[first])]
    if not full.size:
        return first
    easiest = int(full[best.efforts[full].argmin()])
    is_better = n_played[first] < least or best.efforts[easiest] < best.efforts[first] - EASIER
    return easiest if is_better else first


def _lower_octaves(frets: NDArray[np.int8]) -> NDArray[np.int8]:
    """Return the shapes, those of which all lies beyond the octave twelve frets lower."""
    lowest = np.where(frets >= 0, frets, np.int8(127)).min(axis=1, keepdims=True)
    return np.where((frets >= 0) & (lowest >= 12), frets - np.int8(12), frets)


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
