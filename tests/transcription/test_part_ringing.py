"""Strings that ring over into the next chord, told from struck ones, with what was heard written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from listen.evidence import PitchEvidence, Stretch, StrokeEvidence, StrumEvidence, TimeSpan
from listen.theory import Pitch
from listen.transcription.chord_kinds import gather_kinds
from listen.transcription.held_chords import HeldChord
from listen.transcription.ringing import take_out_ringing

E = frozenset({40, 47, 52, 56, 59, 64})
A = frozenset({45, 52, 57, 61, 64})
OPEN_E = 40


def _hear(
    pitches: list[frozenset[int]], low: list[float], rises: list[float]
) -> tuple[list[Stretch], list[StrokeEvidence]]:
    """One stroke a stretch: how sure the ear is of the low E, and by how much it rises."""
    stretches, strokes = [], []
    for place, (midis, odds, rise) in enumerate(zip(pitches, low, rises, strict=True)):
        span = TimeSpan(0.5 * place, 0.5 * place + 0.5)
        lowest = OPEN_E if odds > 0 else min(midis)
        heard = tuple(
            PitchEvidence(Pitch(midi), odds if midi == OPEN_E else 5.0, 3.0 if midi == lowest else -5.0)
            for midi in sorted(midis | {OPEN_E})
        )
        stretches.append(Stretch.of(StrumEvidence(span, heard), (place, place), span))
        rising = dict.fromkeys(midis, 4.0) | {OPEN_E: rise}
        strokes.append(StrokeEvidence(span.start_s, -20.0, rises=rising))
    return stretches, strokes


def _hold(stretches: list[Stretch], *held: tuple[int, frozenset[int]]) -> list[HeldChord]:
    """So many stretches each, with these pitches."""
    chords, begin = [], 0
    for n_stretches, pitches in held:
        chords.append(HeldChord(tuple(stretches[begin : begin + n_stretches]), pitches))
        begin += n_stretches
    return chords


@pytest.mark.parametrize(("odds", "rise", "rings"), [(2.0, -4.0, True), (1.0, -1.0, True), (4.5, 5.0, False)])
def test_a_low_string_that_only_falls_under_the_new_chord_is_no_bass(odds: float, rise: float, rings: bool) -> None:
    stretches, strokes = _hear([E, E, A, A], [5.0, 5.0, odds, odds], [9.0, 3.0, rise, rise])
    cleared = take_out_ringing(_hold(stretches, (2, E), (2, A | {OPEN_E})), strokes)
    assert [OPEN_E in stretch.sounding for stretch in cleared] == [True, True, not rings, not rings]
    assert cleared[2].ringing == (frozenset({OPEN_E}) if rings else frozenset())
    assert (int(np.argmax(cleared[2].bass_log_odds)) == OPEN_E) != rings


@pytest.mark.parametrize(("odds", "rings"), [(0.5, True), (4.5, False)])
def test_where_no_stroke_tells_how_a_low_string_rises_the_ear_decides(odds: float, rings: bool) -> None:
    stretches, strokes = _hear([E, E, A, A], [5.0, 5.0, odds, odds], [9.0, 3.0, 0.0, 0.0])
    untold = [replace(stroke, rises={}) for stroke in strokes]
    cleared = take_out_ringing(_hold(stretches, (2, E), (2, A | {OPEN_E})), untold)
    assert (OPEN_E in cleared[2].sounding) != rings


def test_a_chord_that_is_known_with_this_bass_keeps_it() -> None:
    order = [A | {OPEN_E}, frozenset({43, 47, 50}), E, A | {OPEN_E}]
    stretches, strokes = _hear(order, [5.0, -9.0, 5.0, 2.0], [9.0, 0.0, 9.0, 0.5])
    chords = _hold(stretches, *((1, pitches) for pitches in order))
    assert OPEN_E in take_out_ringing(chords, strokes)[3].sounding


def test_a_bass_note_struck_before_its_chord_does_not_ring_over_into_it() -> None:
    stretches, strokes = _hear([frozenset({OPEN_E}), E], [5.0, 1.0], [9.0, -2.0])
    chords = _hold(stretches, (1, frozenset({OPEN_E})), (1, E))
    assert OPEN_E in take_out_ringing(chords, strokes)[1].sounding


def test_an_open_string_is_counted_once_for_each_time_that_it_rings_over() -> None:
    stretches, strokes = _hear([E, A, A, A], [5.0, 1.0, 1.0, 1.0], [9.0, -3.0, -2.0, -2.0])
    cleared = take_out_ringing(_hold(stretches, (1, E), (3, A | {OPEN_E})), strokes)
    _, kind = gather_kinds(_hold(list(cleared), (1, E), (3, A)))
    assert kind.ringing == (OPEN_E,)


def test_a_low_string_that_a_person_hears_rings_over_in_no_stroke_of_which_it_was_said() -> None:
    stretches, strokes = _hear([E, E, A, A], [5.0, 5.0, 1.0, 12.0], [9.0, 3.0, -6.0, -6.0])
    cleared = take_out_ringing(_hold(stretches, (2, E), (2, A | {OPEN_E})), strokes)
    assert [OPEN_E in stretch.sounding for stretch in cleared] == [True, True, False, True]
