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
from dataclasses import replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from listen.evidence import Stretch, StrokeEvidence, TimeSpan
from listen.instrument import Fretboard
from listen.transcription.brushed_strings import find_brushed_strings
from listen.transcription.chord_decoding import HeardChords
from listen.transcription.held_chords import HeldChord
from listen.transcription.held_path import find_path
from listen.transcription.held_sets import list_held_sets
from listen.transcription.held_weights import list_runs, size_sets, weigh_sets
from listen.transcription.late_basses import find_late_fifths, weigh_late_basses
from listen.transcription.note_lines import find_lines, find_pickup
from listen.transcription.reach import SURE_REACH, USUAL_REACH, learn_reach
from listen.transcription.recurrence import weigh_recurrence
from listen.transcription.silent_roots import weigh_silent_roots
from listen.transcription.standing_basses import weigh_standing_basses
from listen.transcription.stroke_odds import mark_members, measure_stroke_odds
from listen.voicing import count_strings_of_open_chord

Floats = NDArray[np.float64]

NEW_COST = 1.5  # nats for a chord that the part has nowhere else; half for one that it has once
ROUNDS = 3  # of learning how far strokes reach; judged
REST_S = 0.6  # a shorter silence is the end of a stroke


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
    sized = size_sets(odds, sets.pitches, opens)
    others = weigh_silent_roots(odds, sets.held) + odds.ruled @ mark_members(sets.pitches).T
    passing = odds.weigh_passing(opens[count_strings_of_open_chord(fretboard.tuning) :])
    below = find_brushed_strings(sets.pitches, opens)
    lowest = np.array([min(midis, default=0) for midis in sets.pitches])
    others -= sets.unmeant * odds.first_told[:, lowest]
    found: list[tuple[float, list[int]]] = []
    starts = (SURE_REACH,) if odds.is_picked else (USUAL_REACH, SURE_REACH)  # who picks strings takes care of them
    for start in starts:
        reach, entries, against, brushed = start, sets.costs + NEW_COST, np.zeros(len(sets.costs)), below
        path: list[int] = []
        late, meant = np.zeros((len(stretches), len(sets.costs))), np.zeros(len(sets.costs))
        for _ in range(ROUNDS):
            costs = weigh_sets(odds, sets.pitches, sized, reach, opens, stopped=sets.stopped)
            costs += odds.trust[:, None] * brushed.weigh(odds, len(sets.pitches))
            leaving = np.minimum(passing[:, None] - costs, 0.0)
            costs += others + late
            expected = np.zeros_like(costs)
            if path and heard.steps is not None:
                expected = weigh_recurrence(
                    costs, np.array(path), sets.held, alone=sets.costs, bars=heard.bars, steps=heard.steps
                )
            total, path = find_path(costs + expected, heard.change_costs, entries, leaving)
            whole = total + reach.cost - float(expected[np.arange(len(path)), path].sum())
            brushed = brushed.learn(odds, np.array(path))
            reach = learn_reach(list_runs(odds, np.array(path), sized, reach, opens), starts[0])
            uses = Counter(held for held, _ in groupby(sets.held[row] for row in path))
            if heard.steps is not None:
                fifths = find_late_fifths(
                    odds, np.array(path), sets.pitches, brushed=below.rows, bars=heard.bars, steps=heard.steps
                )
                meant[list(fifths)] = sets.unmeant[list(fifths)]
                uses |= Counter({sets.held[row]: n_bars for row, n_bars in fifths.items()})
            entries = sets.costs + NEW_COST * 0.5 ** np.array([max(0, uses[held] - 1) for held in sets.held])
            standing = weigh_standing_basses(odds, np.array(path), lowest=lowest, bars=heard.bars)
            for row, cost in standing.items():
                against[row] = max(against[row], cost / uses[sets.held[row]])
            entries += against
            if heard.steps is not None:
                found_late = weigh_late_basses(odds, np.array(path), lowest=lowest, bars=heard.bars, steps=heard.steps)
                late = np.maximum(late, found_late)
            entries -= meant
        found.append((whole, path))
    return [sets.held[row] for row in min(found)[1]]


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
