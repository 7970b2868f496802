"""What a hand may hold through many strokes, as sets of pitches: those of the book on this neck, and those heard."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from listen.evidence import N_PITCHES
from listen.harmony import measure_plainness
from listen.instrument import STANDARD, Fretboard
from listen.transcription.stroke_odds import StrokeOdds
from listen.voicing import list_strummed_shapes

Floats = NDArray[np.float64]

BOOK_WEIGHT = 0.75  # as the fit of a strum weighs the book
QUALITY_WEIGHT, BASS_WEIGHT = 3.0, 2.0  # nats for each point by which a chord, or its bass, is less plainly named
COMMONEST = 4.0  # the grade of a plain chord's first place in the book
HIGHEST_LISTED_FRET = 14
OTHER_BASS_COST = 1.0  # nats for a chord of the book over a bass that the book does not give it
LOST_ROOT_COST, OPEN_BELOW_COST = 2.5, 1.5
"""Nats for a fifth left at the bottom where the root's string is missed (x33211 for F), which nobody means; and for an
open string below a whole chord (032010 for C), which a thumb brushes more often than a player means it."""
TRIADS = ({0, 4, 7}, {0, 3, 7})
CHOKED_COST = 2.5  # nats for a hand that keeps an inner string of its chord from sounding
LEAST_CHOKED, PLAIN_NATS = 4, 0.5
"""A chord of so many pitches may have a choked one, if it is as plain as a triad or a seventh chord, or if some stroke
of the part sounds all of it: else any heap of notes is some chord with a choked string."""
UNNAMED_POINTS = 3.0  # for a single pitch, which is no chord
NEAR_NATS = 12.0  # a set that explains no stretch within so much of the best is not looked at
MOST_SETS = 400
UNHEARD = 0.1  # chance that a pitch of a set that is held is not heard in a bar, where sets are chosen
Sets = dict[tuple[int, ...], float]


@dataclass(frozen=True, slots=True, eq=False)
class HeldSets:
    """Sets of pitches that may be held, with what it costs to believe it.

    Parameters
    ----------
    pitches : tuple of (tuple of int)
        MIDI numbers that each can sound, low to high.
    held : tuple of (tuple of int)
        What the hand holds: the same, and a string that it chokes.
    costs : ndarray, shape (n_sets,)
        In nats; 0 for the commonest shapes of the plainest chords.
    """

    pitches: tuple[tuple[int, ...], ...]
    held: tuple[tuple[int, ...], ...]
    costs: Floats


def list_held_sets(fretboard: Fretboard, heard: Iterable[frozenset[int]], odds: StrokeOdds) -> HeldSets:
    """List what may be held on a neck.

    Parameters
    ----------
    fretboard : Fretboard
    heard : iterable of frozenset of int
        Sets that some stroke sounded; those that no shape of the book gives cost the whole weight of the book.
    odds : StrokeOdds
        What leaves out much of every stretch, or holds much that is not heard in any bar, is not listed.
    """
    sounded = {tuple(sorted(midis)) for midis in heard}
    whole: Sets = dict(_list_book_sets(fretboard))
    lost = {midis[place:] for midis in whole for place in (1, 2) if _is_left_fifth(midis, place)}
    for midis in sounded:
        whole.setdefault(midis, BOOK_WEIGHT * COMMONEST)
    whole = _keep_near(whole, odds)
    _add_basses(whole, {midis[0] for midis in sounded if midis})
    names = dict(zip(whole, _weigh_names(tuple(whole)), strict=True))
    opens = {pitch.midi for pitch in fretboard.open_pitches}
    costs: Sets = {}
    for midis, cost in whole.items():
        upper = midis[1:]
        is_brushed = midis[:1] and midis[0] in opens and upper in whole and names[upper] <= PLAIN_NATS < names[midis]
        unmeant = LOST_ROOT_COST if midis in lost else OPEN_BELOW_COST if is_brushed else 0.0
        costs[midis] = cost + names[midis] + unmeant
    held = {midis: midis for midis in costs}
    for midis, cost in list(costs.items()):
        if len(midis) < LEAST_CHOKED or (names[midis] > PLAIN_NATS and midis not in sounded):
            continue
        for place in range(1, len(midis) - 1):
            sounding = midis[:place] + midis[place + 1 :]
            if cost + CHOKED_COST < costs.get(sounding, np.inf):
                costs[sounding], held[sounding] = cost + CHOKED_COST, midis
    costs = _keep_near(costs, odds)
    return HeldSets(tuple(costs), tuple(held[midis] for midis in costs), np.array(list(costs.values())))


def _add_basses(sets: Sets, basses: Iterable[int]) -> None:
    """Add every chord over every bass that was heard."""
    for midis, cost in list(sets.items()):
        for bass in basses:
            upper = tuple(midi for midi in midis if midi > bass)
            if max(2, len(midis) - 1) <= len(upper) and bass not in midis:
                over = (bass, *upper)
                sets[over] = min(sets.get(over, np.inf), cost + OTHER_BASS_COST)


def _is_left_fifth(midis: tuple[int, ...], place: int) -> bool:
    """Return whether a triad over its root begins with its fifth when so many low strings are missed."""
    steps = {(midi - midis[0]) % 12 for midi in midis}
    return steps in TRIADS and len(midis) > place + 1 and (midis[place] - midis[0]) % 12 == 7


def _weigh_names(sets: tuple[tuple[int, ...], ...]) -> list[float]:
    """Weigh how plainly each set is named: as a chord whatever its bass, and over its bass."""
    turns = [
        [tuple(sorted((midi - bass) % 12 for midi in midis)) for bass in dict.fromkeys(midi % 12 for midi in midis)]
        for midis in sets
    ]
    kinds = list(dict.fromkeys(turn for row in turns for turn in row))
    points = dict(zip(kinds, measure_plainness(kinds), strict=True))
    plainest = [min((points[turn] for turn in row), default=UNNAMED_POINTS) for row in turns]
    over_bass = [points[row[0]] if row else UNNAMED_POINTS for row in turns]
    return [
        QUALITY_WEIGHT * quality + BASS_WEIGHT * (whole - quality)
        for quality, whole in zip(plainest, over_bass, strict=True)
    ]


def _keep_near(sets: Sets, odds: StrokeOdds) -> Sets:
    """Keep the sets that leave out little of what some stretch sounds, and hold little that its bar does not have."""
    members = np.zeros((len(sets), N_PITCHES))
    for row, midis in enumerate(sets):
        members[row, list(midis)] = 1.0
    unheard = -np.log(odds.in_bar + (1.0 - odds.in_bar) * UNHEARD)
    stray = odds.stray
    costs = stray.sum(axis=1)[:, None] + (unheard - stray) @ members.T + np.array(list(sets.values()))
    near = (costs - costs.min(axis=1, keepdims=True)).min(axis=0)
    kept = set(np.argsort(near, kind="stable")[:MOST_SETS].tolist())
    return {midis: cost for row, (midis, cost) in enumerate(sets.items()) if row in kept and near[row] <= NEAR_NATS}


@lru_cache(maxsize=4)
def _list_book_sets(fretboard: Fretboard) -> tuple[tuple[tuple[int, ...], float], ...]:
    """List the sets of the book's shapes; nothing where strings are not a standard distance apart."""
    opens = [pitch.midi for pitch in fretboard.open_pitches]
    if len(opens) != STANDARD.n_strings:
        return ()
    if len({midi - usual.midi for midi, usual in zip(opens, STANDARD.open_strings, strict=True)}) != 1:
        return ()
    frets, grades = list_strummed_shapes(min(fretboard.top_fret, HIGHEST_LISTED_FRET))
    midis = np.where(frets >= 0, frets + np.array(opens), -1)
    costs: Sets = {}
    for row, grade in zip(midis.tolist(), grades.tolist(), strict=True):
        sounding = tuple(sorted({midi for midi in row if midi >= 0}))
        cost = BOOK_WEIGHT * max(0.0, COMMONEST - grade)
        costs[sounding] = min(cost, costs.get(sounding, np.inf))
    return tuple(costs.items())
