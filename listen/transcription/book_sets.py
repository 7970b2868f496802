"""The shapes of the book on a neck as sets of pitches, and what is left of them without their lowest strings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from listen.evidence import N_PITCHES
from listen.instrument import STANDARD, Fretboard
from listen.transcription.plain_names import weigh_over_basses
from listen.voicing import list_strummed_shapes

Floats = NDArray[np.float64]

BOOK_WEIGHT = 0.75  # as the fit of a strum weighs the book
COMMONEST = 4.0  # the grade of a plain chord's first place in the book
HIGHEST_LISTED_FRET = 14  # for time: the book seldom goes higher
THIRDS = frozenset((3, 4))  # semitones over a root


@dataclass(frozen=True, slots=True, eq=False)
class BookSets:
    """The sets of pitches of the book's shapes on a neck.

    Parameters
    ----------
    places : dict of (tuple of int) to int
        MIDI numbers of each set, low to high, and which row it has.
    members : ndarray, shape (n_sets, 128)
        1 where a set has a pitch.
    costs : ndarray, shape (n_sets,)
        In nats; 0 for the commonest.
    left_fifths : frozenset of (tuple of int)
        What is left of a chord over its root when the strings below its fifth are missed.
    """

    places: dict[tuple[int, ...], int]
    members: Floats
    costs: Floats
    left_fifths: frozenset[tuple[int, ...]]


@lru_cache(maxsize=4)
def list_book_sets(fretboard: Fretboard) -> BookSets:
    """List the sets of the book's shapes; nothing on other than six strings."""
    opens = [pitch.midi for pitch in fretboard.open_pitches]
    if len(opens) != STANDARD.n_strings:
        return BookSets({}, np.zeros((0, N_PITCHES)), np.zeros(0), frozenset())
    frets, grades = list_strummed_shapes(min(fretboard.top_fret, HIGHEST_LISTED_FRET), fretboard.tuning)
    members = np.zeros((len(frets), N_PITCHES), np.uint8)
    rows, strings = np.nonzero(frets >= 0)
    members[rows, frets[rows, strings] + np.array(opens)[strings]] = 1
    over_lowest = np.maximum(frets, 0).astype(np.uint64) + np.array(opens, np.uint64) - np.uint64(min(opens))
    bits = np.where(frets >= 0, np.left_shift(np.uint64(1), over_lowest), np.uint64(0))  # two octaves and a neck
    _, first, which = np.unique(np.bitwise_or.reduce(bits, axis=1), return_index=True, return_inverse=True)
    costs = np.full(len(first), np.inf)
    np.minimum.at(costs, which.ravel(), BOOK_WEIGHT * np.maximum(0.0, COMMONEST - grades))
    in_order = np.argsort(first)
    members = members[first[in_order]]
    midis = iter(np.nonzero(members)[1].tolist())
    sets = [tuple(islice(midis, n)) for n in members.sum(axis=1).tolist()]
    places = {one: place for place, one in enumerate(sets)}
    return BookSets(places, members.astype(float), costs[in_order], _list_left_fifths(sets))


def _list_left_fifths(sets: Iterable[tuple[int, ...]]) -> frozenset[tuple[int, ...]]:
    """List what begins with its fifth when the lowest strings of a chord over its root are missed, and is still it."""
    left: set[tuple[int, tuple[int, ...]]] = set()
    for midis in sets:
        if {(midi - midis[0]) % 12 for midi in midis} & THIRDS:
            places = [place for place in (1, 2) if len(midis) > place + 1 and (midis[place] - midis[0]) % 12 == 7]
            left.update((midis[0] % 12, midis[place:]) for place in places)
    named = weigh_over_basses([midis for _, midis in left])
    return frozenset(
        midis for (root, midis), over in zip(left, named, strict=True) if root == min(over, key=over.__getitem__)
    )
