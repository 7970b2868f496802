"""Which chord a hand held through which strokes, when a stroke sounds only some of what is held.

A held chord is a set of pitches that some shape on this neck gives. Beginning one costs: a change, more away from the
bar lines; a shape that is not in the book; a chord that the part did not have so far. Each stroke then costs what its
evidence says against the best run of the chord's strings, and against what sounds beside them. The cheapest row of held
chords is found (:mod:`.held_path`); then how far this player's strokes reach, and which chords the part has, are
learnt from it, and what each chord's bass does in all its bars; then it is found again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from listen.evidence import Stretch, StrokeEvidence, TimeSpan
from listen.instrument import Fretboard
from listen.transcription.brushed_strings import BrushedStrings, find_brushed_strings
from listen.transcription.chord_decoding import HeardChords
from listen.transcription.events import REST_S
from listen.transcription.held_chords import HeldChord
from listen.transcription.held_path import find_path
from listen.transcription.held_sets import HeldSets, list_held_sets
from listen.transcription.held_weights import SizedSets, list_runs, size_sets, weigh_sets
from listen.transcription.late_basses import find_late_fifths, weigh_late_basses
from listen.transcription.note_lines import find_lines, find_pickup
from listen.transcription.reach import SURE_REACH, USUAL_REACH, Reach, learn_reach
from listen.transcription.recurrence import weigh_recurrence
from listen.transcription.silent_roots import weigh_silent_roots
from listen.transcription.standing_basses import weigh_standing_basses
from listen.transcription.stroke_odds import StrokeOdds, mark_members, measure_stroke_odds
from listen.transcription.three_strings import weigh_unstruck
from listen.transcription.walking_fifths import weigh_walking_fifths
from listen.voicing import count_strings_of_open_chord

Floats = NDArray[np.float64]

NEW_COST = 1.5  # nats for a chord that the part has nowhere else; half for one that it has once
ROUNDS = 3  # of learning how far strokes reach; judged


def decode_held(heard: HeardChords, strokes: Sequence[StrokeEvidence], fretboard: Fretboard) -> tuple[HeldChord, ...]:
    """Decode what was held.

    Parameters
    ----------
    heard : HeardChords
        What sounded, chord by chord.
    strokes : sequence of StrokeEvidence
        Of the whole part.
    fretboard : Fretboard

    Returns
    -------
    tuple of HeldChord
    """
    stretches = [stretch for chord in heard.chords for stretch in chord.stretches]
    notes = find_lines(stretches, strokes) | find_pickup(stretches, strokes, bars=heard.bars, steps=heard.steps)
    in_chords = np.array([place not in notes for place in range(len(stretches))], bool)
    held = iter(_decode_chords(_keep_stretches(heard, in_chords), strokes, fretboard))
    sets = [((notes[place],), place) if place in notes else (next(held), -1) for place in range(len(stretches))]
    return tuple(
        HeldChord(tuple(stretch for _, stretch in group), frozenset(midis))
        for (midis, _), group in groupby(zip(sets, stretches, strict=True), key=lambda pair: pair[0])
    )


def _keep_stretches(heard: HeardChords, kept: NDArray[np.bool_]) -> HeardChords:
    """Keep the stretches that are marked, in time order."""
    marks = iter(kept.tolist())
    own = [(tuple(one for one in chord.stretches if next(marks)), chord.pitches) for chord in heard.chords]
    return HeardChords(
        tuple(HeldChord(stretches, pitches) for stretches, pitches in own if stretches),
        heard.change_costs[kept],
        heard.stressed[kept],
        heard.bars[kept],
        None if heard.steps is None else heard.steps[kept],
    )


def _decode_chords(
    heard: HeardChords, strokes: Sequence[StrokeEvidence], fretboard: Fretboard
) -> list[tuple[int, ...]]:
    """Decode what is held in each stretch, where chords are."""
    stretches = [stretch for chord in heard.chords for stretch in chord.stretches]
    if not stretches:
        return []
    odds = measure_stroke_odds(stretches, strokes, stressed=heard.stressed, bars=heard.bars)
    opens = sorted(pitch.midi for pitch in fretboard.open_pitches)
    sounded = {chord.pitches for chord in heard.chords} | {stretch.sounding for stretch in stretches}
    sets = list_held_sets(fretboard, sounded, odds)
    others = weigh_silent_roots(odds, sets.held) + odds.ruled @ mark_members(sets.pitches).T
    others += weigh_walking_fifths(odds, sets.held) + weigh_unstruck(odds, sets.held)
    others -= sets.unmeant * odds.first_told[:, sets.lowest]
    passing = odds.weigh_passing(opens[count_strings_of_open_chord(fretboard.tuning) :])
    starts = (SURE_REACH,) if odds.is_picked else (USUAL_REACH, SURE_REACH)  # who picks strings takes care of them
    problem = _Problem(heard, odds, opens, sets, size_sets(odds, sets.pitches, opens), others, passing, starts[0])
    brushed, none = find_brushed_strings(sets.pitches, opens), np.zeros(len(sets.costs))
    found: list[tuple[float, list[int]]] = []
    for reach in starts:
        learnt = _Learnt((), reach, brushed, sets.costs + NEW_COST, none, none, np.zeros_like(others))
        for _ in range(ROUNDS - 1):
            learnt = _learn(problem, learnt, _decode(problem, learnt)[1])
        found.append(_decode(problem, learnt))
    return [sets.held[row] for row in min(found)[1]]


@dataclass(frozen=True, slots=True, eq=False)
class _Problem:
    """What stays the same in every round.

    Parameters
    ----------
    heard : HeardChords
    odds : StrokeOdds
    opens : list of int
        What the open strings sound, low to high.
    sets : HeldSets
    sized : tuple of SizedSets
        Of these sets.
    others : ndarray, shape (n_stretches, n_sets)
        What speaks against each set beside its strokes.
    passing : ndarray, shape (n_stretches,)
        What each stretch costs as open strings while the hand changes.
    usual : Reach
        What is expected of a player whose strokes are few.
    """

    heard: HeardChords
    odds: StrokeOdds
    opens: list[int]
    sets: HeldSets
    sized: tuple[SizedSets, ...]
    others: Floats
    passing: Floats
    usual: Reach


@dataclass(frozen=True, slots=True, eq=False)
class _Learnt:
    """What was learnt from the rounds before.

    Parameters
    ----------
    path : sequence of int
        Which set is held in each stretch; empty before the first round.
    reach : Reach
    brushed : BrushedStrings
    entries : ndarray, shape (n_sets,)
        What it costs to begin each set.
    against, meant : ndarray, shape (n_sets,)
        What of it its bass adds, since a part has it rarely, and takes away, since it comes like one that is meant.
    late : ndarray, shape (n_stretches, n_sets)
        What speaks against each set before its bass sounds.
    """

    path: Sequence[int]
    reach: Reach
    brushed: BrushedStrings
    entries: Floats
    against: Floats
    meant: Floats
    late: Floats


def _decode(problem: _Problem, learnt: _Learnt) -> tuple[float, list[int]]:
    """Find the cheapest row of sets: what it costs, but for what is expected of its bars, and the row."""
    heard, odds, sets = problem.heard, problem.odds, problem.sets
    costs = weigh_sets(odds, sets.lowest, problem.sized, learnt.reach, problem.opens, stopped=sets.stopped)
    costs += odds.trust[:, None] * learnt.brushed.weigh(odds, len(sets.pitches))
    leaving = np.minimum(problem.passing[:, None] - costs, 0.0)
    costs += problem.others + learnt.late
    expected = np.zeros_like(costs)
    if learnt.path and heard.steps is not None:
        expected = weigh_recurrence(
            costs, np.array(learnt.path), sets.held, alone=sets.costs, bars=heard.bars, steps=heard.steps
        )
    total, path = find_path(costs + expected, heard.change_costs, learnt.entries, leaving)
    return total + learnt.reach.cost - float(expected[np.arange(len(path)), path].sum()), path


def _learn(problem: _Problem, before: _Learnt, path: Sequence[int]) -> _Learnt:
    """Learn how far this player's strokes reach, which chords the part has, and what their basses do."""
    heard, odds, sets, lowest, held = problem.heard, problem.odds, problem.sets, problem.sets.lowest, np.array(path)
    uses = Counter(midis for midis, _ in groupby(sets.held[row] for row in path))
    against, meant, late = before.against.copy(), before.meant.copy(), before.late
    if heard.steps is not None:
        fifths = find_late_fifths(
            odds, held, sets.pitches, brushed=before.brushed.rows, bars=heard.bars, steps=heard.steps
        )
        meant[list(fifths)] = sets.unmeant[list(fifths)]
        uses |= Counter({sets.held[row]: n_bars for row, n_bars in fifths.items()})
        late = np.maximum(late, weigh_late_basses(odds, held, lowest=lowest, bars=heard.bars, steps=heard.steps))
    for row, cost in weigh_standing_basses(odds, held, lowest=lowest, bars=heard.bars).items():
        against[row] = max(against[row], cost / uses[sets.held[row]])
    new = NEW_COST * 0.5 ** np.array([max(0, uses[midis] - 1) for midis in sets.held])
    runs = list_runs(odds, held, problem.sized, before.reach, problem.opens)
    reach, brushed = learn_reach(runs, problem.usual), before.brushed.learn(odds, held)
    return _Learnt(path, reach, brushed, sets.costs + new + against - meant, against, meant, late)


def cut_at_rests(chords: Sequence[HeldChord], quiet: Sequence[TimeSpan]) -> tuple[HeldChord, ...]:
    """Let no chord go on through a silence: it ends where the silence begins, and begins anew after it."""
    rests = [span for span in quiet if span.end_s - span.start_s >= REST_S]
    cut: list[HeldChord] = []
    for chord in chords:
        held: list[Stretch] = []
        for stretch in chord.stretches:
            held.append(stretch)
            rest = next((one for one in rests if stretch.span.start_s < one.start_s < stretch.span.end_s), None)
            if rest is not None:
                held[-1] = replace(stretch, span=TimeSpan(stretch.span.start_s, rest.start_s))
                cut.append(HeldChord(tuple(held), chord.pitches))
                held = []
        if held:
            cut.append(HeldChord(tuple(held), chord.pitches))
    return tuple(cut)
