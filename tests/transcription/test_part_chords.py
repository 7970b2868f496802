"""From stretches to held chords, with what was heard written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from listen.evidence import NOT_HEARD, PitchEvidence, Stretch, StrokeEvidence, StrumEvidence, TimeSpan
from listen.theory import Pitch
from listen.transcription.chord_kinds import gather_held, gather_kinds
from listen.transcription.held_chords import HeldChord, decode_held_chords
from listen.transcription.struck import find_struck

C = (48, 52, 55, 60, 64)
AM = (45, 52, 57, 60, 64)


def _stretch(
    place: int,
    midis: tuple[int, ...],
    *,
    sure: float = 5.0,
    picked: bool = False,
    rings: bool = False,
    n_strokes: int = 1,
) -> Stretch:
    log_odds = np.full(128, NOT_HEARD)
    log_odds[36:90] = -5.0
    log_odds[list(midis)] = sure
    bass = np.full(128, -5.0)
    bass[min(midis)] = 3.0
    span = TimeSpan(0.5 * place, 0.5 * place + 0.5)
    pitches = tuple(PitchEvidence(Pitch(midi), sure, 3.0 if midi == min(midis) else -5.0) for midi in midis)
    ringing = frozenset({min(midis) - 1}) if rings else frozenset[int]()
    last = 10 * place + n_strokes - 1
    return Stretch(10 * place, last, span, StrumEvidence(span, pitches), log_odds, bass, ringing, picked)


def _pick(place: int, *midis: int) -> Stretch:
    return _stretch(place, midis, picked=True)


def _heard(*sets: tuple[int, ...], picked: bool = False, rings: bool = False) -> list[frozenset[int]]:
    stretches = [_stretch(k, midis, picked=picked, rings=rings) for k, midis in enumerate(sets)]
    return [chord.pitches for chord in decode_held_chords(stretches)]


def test_an_upstroke_that_misses_the_bass_keeps_the_chord() -> None:
    assert _heard(C, C[2:], C, C[2:], AM) == [frozenset(C), frozenset(AM)]


def test_a_bass_note_before_the_brush_is_no_chord_of_its_own() -> None:
    assert _heard(C, C, C[:1], C, AM[:1], AM, AM) == [frozenset(C), frozenset(AM)]


def test_a_changed_bass_under_the_same_strings_is_a_new_chord() -> None:
    over_e = (40, *C)
    stretches = [_stretch(0, C, n_strokes=4), _stretch(1, over_e, n_strokes=4), _stretch(2, over_e, n_strokes=4)]
    assert [chord.pitches for chord in decode_held_chords(stretches)] == [frozenset(C), frozenset(over_e)]


def test_a_bass_that_no_stroke_has_is_not_lent_from_a_chord_like_it() -> None:
    over_e = (40, *C)
    stretches = [_stretch(place, over_e) for place in range(8)] + [_stretch(place, C) for place in range(8, 12)]
    assert [chord.pitches for chord in decode_held_chords(stretches)] == [frozenset(over_e), frozenset(C)]


def test_picked_strings_are_gathered_into_their_chord() -> None:
    one = ((48,), (55,), (60,), (64,), (52,), (55,))
    other = ((45,), (53,), (57,), (60,), (65,), (57,))
    held = _heard(*one * 2, *other * 2, picked=True, rings=True)
    assert held == [frozenset({48, 52, 55, 60, 64}), frozenset({45, 53, 57, 60, 65})]


def test_single_notes_that_stop_are_not_gathered() -> None:
    assert all(len(kind) == 1 for kind in _heard((52,), (54,), (55,), (57,), picked=True))


def test_no_stretches_are_no_chords() -> None:
    assert decode_held_chords([]) == ()


def test_evidence_of_a_returning_chord_is_a_mean_and_not_a_sum() -> None:
    stretches = [_stretch(0, C, sure=4.0), _stretch(1, AM), _stretch(2, C, sure=2.0)]
    (kind,) = (kind for kind in gather_kinds(decode_held_chords(stretches)) if kind.pitches == frozenset(C))
    assert kind.duration_s == 1.0
    assert [heard.log_odds for heard in kind.evidence.pitches] == pytest.approx([3.0] * len(C))


def test_a_bass_that_is_picked_once_and_rings_on_faintly_is_as_sure_as_when_it_was_picked() -> None:
    picked = [_stretch(0, C[:1], picked=True), _stretch(1, C[1:3], picked=True), _stretch(2, C[3:], picked=True)]
    faint = picked[1].log_odds.copy()
    faint[C[0]] = 0.2
    held = HeldChord((picked[0], replace(picked[1], log_odds=faint), picked[2]), frozenset(C))
    (kind,) = gather_held([held])
    assert {one.pitch.midi: one.log_odds for one in kind.evidence.pitches}[C[0]] == 5.0


def test_one_picked_string_that_the_ear_refuses_does_not_refuse_its_chord() -> None:
    picked = [_stretch(place, C[place : place + 1], picked=True) for place in range(3)]
    longest = replace(
        picked[1], span=TimeSpan(0.5, 3.0), evidence=replace(picked[1].evidence, no_chord_reason="A voice.")
    )
    held = HeldChord((picked[0], longest, picked[2]), frozenset(C[:3]))
    (kind,) = gather_held([held])
    assert kind.evidence.no_chord_reason is None
    (spoken,) = gather_held([HeldChord((longest, longest, picked[2]), frozenset(C[1:3]))])
    assert spoken.evidence.no_chord_reason == "A voice."


def test_a_held_chord_has_all_strokes_from_its_first_stretch_to_its_last() -> None:
    first, second = decode_held_chords([_stretch(0, C, n_strokes=4), _stretch(1, C), _stretch(2, AM)])
    assert (first.strokes, first.span) == (range(11), TimeSpan(0.0, 1.0))
    assert second.strokes == range(20, 21)


def test_of_what_sounds_at_a_picked_stroke_only_what_rises_was_picked() -> None:
    pinch = StrokeEvidence(1.0, -20.0, rises={48: 9.0, 52: -1.5, 55: 0.8, 64: 14.0})
    soft = StrokeEvidence(2.0, -20.0, rises={48: -2.0, 52: 1.2, 55: -3.0})
    unknown = StrokeEvidence(3.0, -20.0)
    every = [_pick(0, 48, 52, 55, 64), _pick(1, 48, 52, 55), _pick(2, 55)]
    every[0].log_odds[[52, 55]] = every[1].log_odds[[48, 55]] = 0.5  # the ear is hardly sure of what only rings on
    found = find_struck([pinch, soft, unknown], [list(C)] * 3, every, None)
    assert [run.places for run in found if run is not None] == [(0, 4), (1,), (2,)]
    assert [run.is_single for run in found if run is not None] == [False, True, True]


def test_strings_plucked_together_are_those_heard_as_surely_where_no_rise_could_be_told() -> None:
    heard = _pick(0, 48, 52, 55, 60)
    heard.log_odds[[48, 52, 55, 60]] = 0.5, 4.6, 5.0, 5.2
    (run,) = find_struck([StrokeEvidence(1.0, -20.0, rises={48: -1.0})], [list(C)], [heard], None)
    assert run is not None
    assert run.places == (1, 2, 3)


def test_a_string_that_is_picked_beside_the_chord_is_written_and_no_strum() -> None:
    (run,) = find_struck([StrokeEvidence(1.0, -20.0, rises={62: 50.0})], [list(C)], [_pick(0, 62)], None)
    assert run is not None
    assert (run.beside, run.is_single) == (62, True)


def test_a_held_string_that_a_stroke_clearly_did_not_sound_was_not_struck() -> None:
    (run,) = find_struck([StrokeEvidence(1.0, -20.0)], [list(C)], [_stretch(0, C[1:])], None)
    assert run is not None
    assert run.places == (1, 2, 3, 4)


def test_a_stroke_that_surely_goes_up_struck_several_strings_though_one_alone_rises() -> None:
    rises = {48: -9.0, 52: -9.0, 55: -9.0, 60: -9.0, 64: 9.0}
    strokes = [StrokeEvidence(1.0, -20.0, lean=lean, rises=rises) for lean in (0.0, -3.5)]
    alone, upstroke = find_struck(strokes, [list(C)] * 2, [None, None], None)
    assert alone is not None
    assert upstroke is not None
    assert alone.is_single
    assert not upstroke.is_single


def test_an_upstroke_is_seen_in_the_strings_that_rise() -> None:
    up = {48: -3.0, 52: -4.0, 55: 6.0, 60: 7.0, 64: 9.0}
    stroke = StrokeEvidence(1.0, -20.0, rises=up)
    (run,) = find_struck([stroke], [list(C)], [None], None)
    assert run is not None
    assert (run.places, run.is_top) == ((2, 3, 4), True)
