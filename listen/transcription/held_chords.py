"""From stretches to held chords: one chord spans many strokes, and chords come back.

The hypotheses are the sets of pitches that some stretch was heard as; a stretch explains a set badly when it holds
pitches that the set lacks, less badly when it misses some, and least when it is a stroke or two and what it misses lies
above or below all that it has (an upstroke catches the top strings, a thumb the bass). Where strings are picked one
after another, the unions of neighbouring stretches are hypotheses too, and a stretch may miss most of one. Staying is
free, changing costs; a set that is heard often costs less. The cheapest row of sets is found (:mod:`.held_path`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from listen.evidence import N_PITCHES, Stretch, TimeSpan
from listen.transcription.held_path import find_path
from listen.transcription.stroke_odds import mark_members, measure_trust
from listen.transcription.walking_fifths import mark_walks

Floats = NDArray[np.float64]

CHANGE_COST = 3.0  # nats
MOST_LOG_ODDS = 5.0  # nats: no pitch of one stretch says more; judged
EXTRA_WEIGHT = 1.0  # of pitches that sound and are not in the set
LOW_LEFT_OUT, HIGH_LEFT_OUT = 2.4, 0.8  # nats a stroke
PICKED_WEIGHT = 0.02  # of pitches of the set that a picked string leaves out: nearly all of them; judged
MOST_JOINED, LONGEST_JOINED_S, MOST_STRINGS = 9, 6.0, 6
"""Picked strings, seconds and strings that one hand joins; judged."""
MOST_STOPPED = 0.6  # share of notes that stop when the next begins: more are a line; judged
OFTEN = 3.0  # a set heard so often is no rarer than the commonest; judged
RARE_COST = 1.0  # nats for each halving of how often a set was heard
MOST_SETS = 400  # for time: rarer ones than these are not tried


@dataclass(frozen=True, slots=True, eq=False)
class HeldChord:
    """One chord as it is held through some stretches.

    Parameters
    ----------
    stretches : tuple of Stretch
        At least one.
    pitches : frozenset of int
        MIDI numbers that are held; empty where what sounds has no pitch.
    """

    stretches: tuple[Stretch, ...]
    pitches: frozenset[int]

    @property
    def span(self) -> TimeSpan:
        """From its first stroke to the end of its sound."""
        return TimeSpan(self.stretches[0].span.start_s, self.stretches[-1].span.end_s)

    @property
    def strokes(self) -> range:
        """Indices of its strokes among those of the part."""
        return range(self.stretches[0].first, self.stretches[-1].last + 1)

    def ended_at(self, time_s: float) -> HeldChord:
        """Return the chord with the end of its sound moved."""
        *others, last = self.stretches
        return replace(self, stretches=(*others, replace(last, span=TimeSpan(last.span.start_s, time_s))))

    @property
    def is_picked(self) -> bool:
        """Whether most of its stretches are strings picked one after another."""
        return sum(stretch.is_picked for stretch in self.stretches) * 2 > len(self.stretches)


def decode_held_chords(stretches: Sequence[Stretch], *, change_costs: Floats | None = None) -> tuple[HeldChord, ...]:
    """Find which chord is held in each stretch.

    Parameters
    ----------
    stretches : sequence of Stretch
    change_costs : ndarray, shape (n_stretches,), or None
        What it costs to begin a chord with each stretch, where the bars are known.

    Returns
    -------
    tuple of HeldChord
        In time order, covering all stretches.
    """
    if not stretches:
        return ()
    sets, counts = _count_sets(stretches)
    costs = _weigh_sets(stretches, sets) + RARE_COST * np.log2(np.maximum(1.0, min(OFTEN, counts.max()) / counts))
    changes = np.full(len(stretches), CHANGE_COST) if change_costs is None else change_costs
    _, path = find_path(costs, changes, np.zeros(len(sets)), np.zeros_like(costs))
    chords = []
    for choice, held in groupby(zip(path, stretches, strict=True), key=lambda pair: pair[0]):
        chords.append(HeldChord(tuple(stretch for _, stretch in held), sets[choice]))
    return tuple(chords)


def _count_sets(stretches: Sequence[Stretch]) -> tuple[list[frozenset[int]], Floats]:
    """List the sets that were heard, those heard for longest first, with how often."""
    counts: dict[frozenset[int], float] = {}
    for stretch in stretches:
        counts[stretch.sounding] = counts.get(stretch.sounding, 0.0) + 1.0
    for union in _join_picked(stretches):
        counts[union] = counts.get(union, 0.0) + 1.0
    sets = sorted(counts, key=lambda midis: (-counts[midis], sorted(midis)))[:MOST_SETS]
    return sets, np.array([counts[midis] for midis in sets])


def _join_picked(stretches: Sequence[Stretch]) -> Iterator[frozenset[int]]:
    """Yield the unions of neighbouring stretches of a picked pattern, as far as one hand can hold them."""
    for first, stretch in enumerate(stretches):
        union, stopped = stretch.sounding, 0
        for place in range(first + 1, min(first + MOST_JOINED, len(stretches))):
            later = stretches[place]
            if not (stretches[place - 1].is_picked and later.is_picked):
                break
            stopped += not later.ringing and not later.sounding & stretches[place - 1].sounding
            if stopped > MOST_STOPPED * (place - first):
                break  # notes that stop when the next begins are a line, not a chord
            if later.span.end_s - stretch.span.start_s > LONGEST_JOINED_S:
                break
            union |= later.sounding
            if len(union) > MOST_STRINGS:
                break
            yield union


def _weigh_sets(stretches: Sequence[Stretch], sets: list[frozenset[int]]) -> Floats:
    """Weigh how badly each set explains each stretch, shape (n_stretches, n_sets)."""
    members = mark_members(sets)
    odds = np.clip([stretch.log_odds for stretch in stretches], -MOST_LOG_ODDS, MOST_LOG_ODDS)
    picked = np.array([stretch.is_picked for stretch in stretches])
    absent = np.maximum(-odds, 0.0) * np.where(picked, PICKED_WEIGHT, 1.0)[:, None]
    lowest = np.array([min(stretch.sounding, default=N_PITCHES) for stretch in stretches])
    highest = np.array([max(stretch.sounding, default=N_PITCHES) for stretch in stretches])
    places = np.arange(N_PITCHES)
    below, above = places < lowest[:, None], places > highest[:, None]
    n_strokes = np.array([stretch.last - stretch.first + 1 for stretch in stretches], float)[:, None]
    walks = mark_walks([tuple(sorted(midis)) for midis in sets])
    costs = EXTRA_WEIGHT * np.maximum(odds, 0.0) @ (1.0 - np.maximum(members, walks)).T
    costs += np.where(below | above, 0.0, absent) @ members.T
    costs += np.minimum(np.where(below, absent, 0.0) @ members.T, LOW_LEFT_OUT * n_strokes)
    costs += np.minimum(np.where(above, absent, 0.0) @ members.T, HIGH_LEFT_OUT * n_strokes)
    return np.asarray(costs * measure_trust(stretches)[:, None])
