"""Strings that ring over into the next chord, told from struck ones, with what was heard written by hand."""

from __future__ import annotations

import numpy as np
import pytest

from listen.audio import StrokeOnset
from listen.evidence import StrumEvidence, TimeSpan
from listen.transcription.chord_kinds import gather_kinds
from listen.transcription.heard_part import NOT_HEARD, HeardStroke, Stretch
from listen.transcription.held_chords import HeldChord
from listen.transcription.ringing import take_out_ringing

E = frozenset({40, 47, 52, 56, 59, 64})
A = frozenset({45, 52, 57, 61, 64})
OPEN_E = 40


def _hear(
    pitches: list[frozenset[int]], low: list[float], rises: list[float]
) -> tuple[list[Stretch], list[HeardStroke]]:
    """One stroke a stretch: how sure the ear is of the low E, and by how much it rises."""
    stretches, strokes = [], []
    for place, (midis, odds, rise) in enumerate(zip(pitches, low, rises, strict=True)):
        log_odds = np.full(128, NOT_HEARD)
        log_odds[sorted(midis)] = 5.0
        log_odds[OPEN_E] = odds
        bass = np.full(128, -5.0)
        bass[OPEN_E if odds > 0 else min(midis)] = 3.0
        span = TimeSpan(0.5 * place, 0.5 * place + 0.5)
        stretches.append(Stretch(place, place, span, StrumEvidence(span, ()), log_odds, bass))
        onset = StrokeOnset(span.start_s, 2.0, -20.0)
        strokes.append(HeardStroke(onset, np.ones(56), rises=dict.fromkeys(midis, 4.0) | {OPEN_E: rise}))
    return stretches, strokes


@pytest.mark.parametrize(("odds", "rise", "rings"), [(2.0, -4.0, True), (1.0, -1.0, True), (4.5, 5.0, False)])
def test_a_low_string_that_only_falls_under_the_new_chord_is_no_bass(odds: float, rise: float, rings: bool) -> None:
    stretches, strokes = _hear([E, E, A, A], [5.0, 5.0, odds, odds], [9.0, 3.0, rise, rise])
    chords, kinds = [HeldChord(0, 1, 0), HeldChord(2, 3, 1)], [E, A | {OPEN_E}]
    cleared = take_out_ringing(chords, kinds, stretches, strokes)
    assert [OPEN_E in one.sounding for one in cleared] == [True, True, not rings, not rings]
    assert cleared[2].ringing == (frozenset({OPEN_E}) if rings else frozenset())
    assert (int(np.argmax(cleared[2].bass_log_odds)) == OPEN_E) != rings


def test_a_chord_that_is_known_with_this_bass_keeps_it() -> None:
    order = [A | {OPEN_E}, frozenset({43, 47, 50}), E, A | {OPEN_E}]
    stretches, strokes = _hear(order, [5.0, -9.0, 5.0, 2.0], [9.0, 0.0, 9.0, 0.5])
    kinds = [A | {OPEN_E}, frozenset({43, 47, 50}), E]
    chords = [HeldChord(0, 0, 0), HeldChord(1, 1, 1), HeldChord(2, 2, 2), HeldChord(3, 3, 0)]
    assert OPEN_E in take_out_ringing(chords, kinds, stretches, strokes)[3].sounding


def test_a_bass_note_struck_before_its_chord_does_not_ring_over_into_it() -> None:
    stretches, strokes = _hear([frozenset({OPEN_E}), E], [5.0, 1.0], [9.0, -2.0])
    chords, kinds = [HeldChord(0, 0, 0), HeldChord(1, 1, 1)], [frozenset({OPEN_E}), E]
    assert OPEN_E in take_out_ringing(chords, kinds, stretches, strokes)[1].sounding


def test_an_open_string_is_counted_once_for_each_time_that_it_rings_over() -> None:
    stretches, strokes = _hear([E, A, A, A], [5.0, 1.0, 1.0, 1.0], [9.0, -3.0, -2.0, -2.0])
    chords, kinds = [HeldChord(0, 0, 0), HeldChord(1, 3, 1)], [E, A | {OPEN_E}]
    cleared = take_out_ringing(chords, kinds, stretches, strokes)
    assert gather_kinds(chords, cleared, [E, A])[1].ringing == (OPEN_E,)
