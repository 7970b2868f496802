"""What was held, decoded from strokes that sound only some of it; what was heard is written by hand.

Which shapes players hold is common practice (no source): x02210 is A minor, x20003 is G over B, 320003 is G.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from listen.evidence import PartEvidence, TimeSpan
from listen.instrument import Fretboard, parse_tuning
from listen.reading import NoteReading, StrumReading
from listen.theory import Pitch
from listen.transcription.chord_decoding import hear_chords
from listen.transcription.chord_kinds import gather_held
from listen.transcription.held_decoding import cut_at_rests
from listen.transcription.held_path import find_path
from listen.transcription.held_weights import size_sets, weigh_sets
from listen.transcription.low_string import ask_about_low_note, ask_about_low_string, say_no_shape
from listen.transcription.part import read_part_evidence
from listen.transcription.part_settings import PartSettings
from listen.transcription.reach import USUAL_REACH
from listen.transcription.standing_basses import weigh_standing_basses
from listen.transcription.stroke_odds import find_lowest, measure_stroke_odds
from tests.transcription.written_strokes import AM, BM, EM, G_OVER_B, OPEN_E, C, D, F, G, hear_strokes, hold_chords


def _decode(*sounding: tuple[int, ...]) -> list[frozenset[int]]:
    """Decode downstrokes, four to a bar, each of which sounds these pitches."""
    return [chord.pitches for chord in hold_chords(sounding)]


@pytest.mark.parametrize("tuning", ["E2", "G3", "E2 A2"])
def test_a_neck_of_one_string_or_two_is_read_too(tuning: str) -> None:
    held = hold_chords((C,) * 4 + (G,) * 4, fretboard=Fretboard(parse_tuning(tuning)))
    assert held[0].pitches <= set(C)


def test_a_bass_that_a_thumb_misses_now_and_then_makes_no_inversion() -> None:
    bar = (AM, AM[1:], AM[1:], AM)
    assert _decode(*[C] * 4, *bar, *bar, *[C] * 4) == [frozenset(C), frozenset(AM), frozenset(C)]


def test_a_bass_that_is_missed_for_a_whole_bar_of_a_chord_that_goes_on_makes_no_inversion() -> None:
    assert _decode(*[C] * 4, *[AM[1:]] * 4, *[AM] * 4) == [frozenset(C), frozenset(AM)]


def test_a_meant_bass_stays_in_the_chord() -> None:
    held = _decode(*[C] * 4, *[G_OVER_B] * 4, *[AM] * 4, *[G_OVER_B] * 4, *[C] * 4)
    assert held == [frozenset(C), frozenset(G_OVER_B), frozenset(AM), frozenset(G_OVER_B), frozenset(C)]


def test_a_lowest_string_that_sounds_in_no_bar_of_its_chord_speaks_against_it() -> None:
    odds = measure_stroke_odds(*hear_strokes((C, C, G_OVER_B, G_OVER_B)), stressed=np.ones(4, bool), bars=np.arange(4))
    costs = weigh_standing_basses(
        odds,
        np.array([0, 0, 1, 1]),
        lowest=np.array([C[0], G[0]]),
        bars=np.arange(4),
    )
    assert costs[0] < 0.1
    assert costs[1] > 4.0


def test_a_meant_bass_stays_though_the_thumb_misses_the_lowest_string_of_other_chords() -> None:
    missed = (*[G_OVER_B] * 2, *[EM[1:]] * 2)
    held = _decode(*missed, *[G_OVER_B] * 2, *[EM] * 2, *missed, *[G_OVER_B] * 2, *[F] * 2, *missed)
    assert held[::2] == [frozenset(G_OVER_B)] * 5
    assert {min(midis) for midis in held[1::2]} == {EM[0], F[0]}


def test_a_bass_that_comes_at_half_of_every_bar_begins_a_chord_and_was_not_missed_before() -> None:
    over_g = (43, *AM)
    bars = (*[AM] * 2, *[over_g] * 2, *[F] * 4) * 3
    assert _decode(*bars, *[AM] * 4) == [*[frozenset(AM), frozenset(over_g), frozenset(F)] * 3, frozenset(AM)]
    now_here_now_there = (over_g, AM, AM, over_g, *[F] * 4, AM, *[over_g] * 3, *[F] * 4, *[over_g] * 3, AM)
    assert set(_decode(*now_here_now_there, *[F] * 4)) == {frozenset(over_g), frozenset(F)}


def test_upstrokes_that_leave_out_a_bass_do_not_say_that_it_was_missed() -> None:
    over_g = (43, *AM)
    bars = (AM, over_g, over_g[1:], over_g, *[F] * 4) * 3
    held = [chord.pitches for chord in hold_chords((*bars, *[AM] * 4), up=(2,))]
    assert held == [*[frozenset(AM), frozenset(over_g), frozenset(F)] * 3, frozenset(AM)]


def test_a_fretted_fifth_that_comes_at_half_of_every_bar_is_meant_and_one_that_comes_now_and_then_is_not() -> None:
    small_f = (53, 57, 60, 65)  # xx3211, which goes on to x33211
    over_c = (48, *small_f)
    bars = (*[small_f] * 2, *[over_c] * 2, *[G] * 4) * 3
    assert _decode(*bars) == [frozenset(small_f), frozenset(over_c), frozenset(G)] * 3
    now_here_now_there = (over_c, small_f, small_f, over_c, *[G] * 4, small_f, over_c, small_f, small_f, *[G] * 4)
    assert frozenset(over_c) not in _decode(*now_here_now_there)
    brushed = (*[D] * 2, *[(45, *D)] * 2, *[G] * 4) * 3  # the open fifth string, brushed by every later stroke
    assert _decode(*brushed) == [frozenset(D), frozenset(G)] * 3


def test_a_whole_barre_whose_fifth_string_comes_late_is_no_small_chord_that_goes_on_to_its_fifth() -> None:
    small_f = F[2:]
    late = [(48, *small_f)] * 2
    bars = (*[small_f] * 2, *late, *[C] * 4, *[(41, *small_f)] * 2, *late, *[C] * 4, *[F] * 4, *[C] * 4)
    assert _decode(*bars) == [frozenset(F), frozenset(C)] * 3


def test_two_chords_under_a_moving_bass_are_two() -> None:
    over_f_sharp = (42, *G[2:])
    assert len(_decode(*[G] * 4, *[over_f_sharp] * 4)) == 2


def test_an_open_string_brushed_once_under_a_chord_is_not_held() -> None:
    assert _decode(*[C] * 3, (OPEN_E, *C), *[C] * 4) == [frozenset(C)]


def test_a_fifth_below_the_root_that_no_finger_holds_is_not_meant_however_often_it_sounds() -> None:
    # x00232 is strummed for xx0232, and 224432 for x24432; C over G is fretted (common practice, no source)
    assert _decode(*[(45, *D)] * 8, *[G] * 4, *[(45, *D)] * 8) == [frozenset(D), frozenset(G), frozenset(D)]
    assert _decode(*[D] * 4, *[(42, *BM)] * 8, *[D] * 4) == [frozenset(D), frozenset(BM), frozenset(D)]
    assert _decode(*[D] * 4, *[(43, *C)] * 8, *[D] * 4) == [frozenset(D), frozenset((43, *C)), frozenset(D)]


def test_open_strings_brushed_while_the_hand_changes_are_no_chord() -> None:
    assert _decode(*[C] * 3, (50, 55, 59), *[AM] * 4) == [frozenset(C), frozenset(AM)]


def test_open_strings_pass_only_where_the_hand_leaves_its_chord() -> None:
    """The price of what passes holds for the last stroke of a chord, and not through the rest of it."""
    held, passing = np.array([[0.0, 9.0], [9.0, 0.0], [9.0, 0.0]]), np.array([[0.0, 9.0], [1.0, 0.0], [9.0, 0.0]])
    soon = find_path(held, np.array([0.0, 8.5, 2.0]), np.zeros(2), passing - held)
    assert (soon[1], soon[0]) == ([0, 0, 1], 3.0)
    held[:, 0] = 0.0, 3.0, 3.0
    stays = find_path(held, np.array([0.0, 8.5, 8.5]), np.zeros(2), -held)
    assert (stays[1], stays[0]) == ([0, 0, 0], 3.0), "the last stroke passes, too"
    opens = tuple(sorted(pitch.midi for pitch in Fretboard().open_pitches))
    assert _decode(*[BM] * 5, *[opens] * 3, *[D] * 4) == [frozenset(BM), frozenset(opens), frozenset(D)]
    assert _decode(*[BM] * 7, opens, *[D] * 4) == [frozenset(BM), frozenset(D)]
    assert _decode(*[D] * 4, *[BM] * 3, opens) == [frozenset(D), frozenset(BM)]


def test_a_dropped_string_is_struck_and_not_brushed() -> None:
    """D5 under one finger is three open strings in drop D; in standard tuning a hand that leaves C5 brushes the two."""
    c5, d5 = (48, 55, 60), (38, 45, 50)
    played = (*[d5] * 4, *[c5] * 6, d5)
    held = hold_chords(played, fretboard=Fretboard(parse_tuning("drop D")))
    assert [one.pitches for one in held] == [frozenset(d5), frozenset(c5), frozenset(d5)]


def test_what_a_barre_leaves_without_its_root_is_the_chord_and_a_triad_on_three_strings_its_inversion() -> None:
    """Common practice, no source: x33211 is F with its root missed, x20000 is E minor seventh without its."""
    assert _decode(*[AM] * 4, *[F[1:]] * 4, *[C] * 4)[1] == frozenset(F)
    em7 = (40, 47, 50, 55, 59, 64)
    assert _decode(*[C] * 4, *[em7[1:]] * 4, *[D] * 4)[1] == frozenset(em7)
    second = (55, 60, 64)  # C over G, as strings 4 to 2 play it
    assert _decode(*[second] * 8) == [frozenset(second)]


def test_a_third_choked_beside_whole_strokes_of_its_chord_is_held_and_one_that_never_sounds_is_not() -> None:
    choked = (47, 54, 59, 66)
    assert _decode(*[BM] * 4, *[G] * 4, *[choked] * 4)[-1] == frozenset(BM)
    assert _decode(*[C] * 4, *[G] * 4, *[choked] * 8)[-1] == frozenset(choked)


def test_a_string_is_choked_in_usual_places_and_a_rare_grip_is_none_with_a_choked_string() -> None:
    over_d = (50, 62, 66, 73)  # xx0779, which 10-x-7-7-7-9 would sound with its fourth string choked
    assert _decode(*[D] * 4, *[over_d] * 4, *[G] * 4)[1] == frozenset(over_d)
    barre = (48, 55, 60, 64, 67)  # x35553, and its third string choked
    assert _decode(*[D] * 4, *[(48, 55, 64, 67)] * 4, *[G] * 4)[1] == frozenset(barre)


def test_a_shell_is_held_where_no_stroke_sounds_its_fifth_and_is_a_choked_string_beside_whole_strokes() -> None:
    dm7, g7, cmaj7 = (50, 60, 65), (43, 53, 59), (48, 59, 64)  # x5x56x, 3x34xx, x3x45x
    assert _decode(*[dm7] * 4, *[g7] * 4, *[cmaj7] * 8) == [frozenset(dm7), frozenset(g7), frozenset(cmaj7)]
    whole = (50, 57, 60, 65)  # xx0211, and its third string choked for a bar
    assert _decode(*[whole] * 4, *[C] * 4, *[dm7] * 4) == [frozenset(whole), frozenset(C), frozenset(whole)]


def test_a_fifth_is_no_chord_with_a_choked_string() -> None:
    fifth, with_third = (40, 47, 52, 64), (40, 47, 52, 55, 64)  # 022xx0; with B3, choked, it would be 022400
    assert _decode(*[fifth] * 3, with_third, *[D] * 4, *[fifth] * 4) == [
        frozenset(fifth),
        frozenset(D),
        frozenset(fifth),
    ]
    (doubted,) = hold_chords((fifth,) * 8)
    for stretch in doubted.stretches:
        stretch.log_odds[59] = -1.0
    (kind,) = gather_held((doubted,))
    heard = {one.pitch.midi: one.log_odds for one in kind.evidence.pitches}
    assert heard[59] <= -4.0, "what was decided against stays silent"


def test_an_open_string_where_a_finger_would_lie_is_not_brushed() -> None:
    """Who holds 022100 has a finger on the fifth string: what sounds open there is held so, x02100 (no source)."""
    over_a = (45, 52, 56, 59, 64)
    bar = (over_a, over_a, over_a, over_a[1:])
    for other in (AM, C, D, G):
        assert _decode(*([*[other] * 4, *bar] * 3))[1::2] == [frozenset(over_a)] * 3


def test_a_highest_string_that_is_choked_for_a_bar_is_held_where_another_bar_sounds_the_chord_whole() -> None:
    choked = D[:-1]
    assert _decode(*[D] * 4, *[G] * 4, *[choked] * 4) == [frozenset(D), frozenset(G), frozenset(D)]
    assert _decode(*[BM] * 4, *[G] * 4, *[choked] * 4)[-1] == frozenset(choked)


def test_a_string_struck_alone_where_a_bar_begins_is_the_bass() -> None:
    brushed = G[2:]
    bars = [(G_OVER_B[0],), brushed, brushed, brushed]
    assert _decode(*[D] * 4, *bars, *[C] * 4, *bars, *[D] * 4)[1] == frozenset(G_OVER_B)
    sets, opens = [G, G_OVER_B], sorted(pitch.midi for pitch in Fretboard().open_pitches)
    stressed = np.array([True, False])
    odds = measure_stroke_odds(*hear_strokes((G_OVER_B[:1],) * 2), stressed=stressed, bars=np.arange(2))
    costs = weigh_sets(odds, find_lowest(sets), size_sets(odds, sets, opens), USUAL_REACH, opens)
    over = costs[:, 0] - costs[:, 1]
    assert over[0] > over[1] + 1.5


def test_a_chord_begins_with_the_bass_that_is_picked_before_it_is_strummed() -> None:
    """The new bass is a tone of the chord before, which rings on a little: the order says where the chord begins."""
    sounding = ((43,), G, G, (50,), D, D) * 4
    stretches, strokes = hear_strokes(sounding)
    picked = tuple(replace(one, is_picked=len(midis) == 1) for one, midis in zip(stretches, sounding, strict=True))
    for one in picked:
        if one.sounding == {50}:
            one.log_odds[55] = 2.0
    heard = PartEvidence(TimeSpan(0.0, 12.0), tuple(strokes), picked)
    chords = hear_chords(heard, PartSettings()).chords
    assert [chord.strokes[0] for chord in chords] == list(range(0, 24, 3))


def test_a_string_that_some_strokes_miss_is_as_sure_as_in_the_others() -> None:
    (kind,) = gather_held(hold_chords((AM, AM[1:], AM[1:], AM[1:])))
    heard = {one.pitch.midi: one.log_odds for one in kind.evidence.pitches}
    assert heard[AM[0]] == 5.0
    assert heard[OPEN_E] <= -1.0


def test_single_notes_that_go_by_steps_are_a_line_and_a_chord_picked_string_by_string_is_none() -> None:
    line = (62, 60, 59, 57, 55, 57, 59, 60)
    held = hold_chords((*[(midi,) for midi in line], *[G] * 4), is_picked=None)
    assert [chord.pitches for chord in held] == [*[frozenset({midi}) for midi in line], frozenset(G)]
    assert len(hold_chords(tuple((midi,) for midi in (*C[:4], *C[:4])), is_picked=None)) == 1


def test_no_chord_goes_on_through_a_silence() -> None:
    (chord,) = hold_chords((C, C))
    first, second = cut_at_rests((chord,), (TimeSpan(0.2, 0.9),))
    assert (first.pitches, first.span) == (frozenset(C), TimeSpan(0.0, 0.2))
    assert second.span == TimeSpan(0.5, 1.0)


def test_a_note_below_the_lowest_string_is_asked_about_when_it_comes_back() -> None:
    low_d = (38, 45, 50, 54)
    asked = ask_about_low_string(hear_strokes((C, low_d, C, low_d))[0], Fretboard())
    assert asked is not None
    assert asked.startswith("D2 sounds, first at 0:00, and lies below the lowest string, E2: is the tuning drop D?")
    assert ask_about_low_string(hear_strokes((C, low_d, C))[0], Fretboard()) is None
    low_c = (36, *low_d[1:])
    mostly_d = ask_about_low_string(hear_strokes((low_c, low_d, low_d))[0], Fretboard())
    assert mostly_d is not None
    assert mostly_d.startswith("D2 sounds"), "the note that comes most, not the lowest"
    over_capo = ask_about_low_string(hear_strokes((low_d, low_d))[0], Fretboard(capo_fret=2))
    assert over_capo is not None
    assert "is the tuning drop C?" in over_capo
    assert ask_about_low_string(hear_strokes((low_d, low_d))[0], Fretboard(parse_tuning("drop D"))) is None


def test_a_chord_below_the_strings_of_a_ukulele_says_so_and_not_that_a_hand_is_too_small() -> None:
    stretches, strokes = hear_strokes((G_OVER_B,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 2.0), tuple(strokes), tuple(stretches))
    part = read_part_evidence(heard, settings=PartSettings(tuning=parse_tuning("ukulele"), capo_fret=0))
    remarks = [span.remark for span in part.spans if not span.shapes]
    assert remarks == ["B2 lies below the lowest string, C4: notes and name without a shape."]


@pytest.mark.parametrize(
    ("notes", "said"),
    [("C4 E4 G4 C7", "C7 lies above the last fret of the neck"), ("E2 F2 G2 A2", "More than one hand can hold")],
)
def test_a_chord_without_a_shape_says_what_no_hand_gives(notes: str, said: str) -> None:
    (stretch, *_), _ = hear_strokes((C,))
    sounding = tuple(NoteReading(Pitch.parse(note), 0.99) for note in notes.split())
    reading = StrumReading(stretch.evidence, Fretboard(), sounding)
    assert say_no_shape(reading) == f"{said}: notes and name without a shape."


def test_a_low_note_of_one_strum_is_asked_about_at_once() -> None:
    evidence = hear_strokes(((38, 45, 50, 54),))[0][0].evidence
    asked = ask_about_low_note(evidence, Fretboard(capo_fret=2))
    assert asked is not None
    assert asked.startswith("D2 sounds, and lies below the lowest string, F#2: is the tuning drop C?")
    assert asked.endswith("Then give the tuning, or another capo. Or does a bass guitar play along?")
    assert ask_about_low_note(evidence, Fretboard(parse_tuning("drop D"))) is None
    assert ask_about_low_note(hear_strokes((C,))[0][0].evidence, Fretboard()) is None
