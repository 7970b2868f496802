"""Strings picked one by one, and what is held under them; what was heard is written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from listen.evidence import PartEvidence, TimeSpan
from listen.instrument import Fretboard
from listen.reading import STEPS_PER_BEAT
from listen.transcription.chord_decoding import HeardChords, find_chord_starts, lay_in_bars
from listen.transcription.chord_kinds import gather_held
from listen.transcription.held_chords import CHANGE_COST, HeldChord, decode_held_chords
from listen.transcription.held_decoding import decode_held
from listen.transcription.held_weights import size_sets, weigh_sets
from listen.transcription.note_lines import find_lines, find_runs
from listen.transcription.picking import tell_picked
from listen.transcription.reach import USUAL_REACH
from listen.transcription.stroke_odds import find_lowest, measure_stroke_odds
from listen.transcription.struck import find_struck
from tests.transcription.written_strokes import AM, BM, EM, STROKE_S, C, D, F, G, hear_strokes, hold_chords


def test_a_fifth_that_is_struck_by_itself_as_the_bass_is_meant() -> None:
    picked = ((45,), (57,), (62,), (66,)) * 3
    (held,) = hold_chords(picked, is_picked=True)
    assert min(held.pitches) == 45


def test_who_picks_strings_takes_care_of_the_lowest() -> None:
    """Bass and top string are pinched where a bar begins, and two inner strings picked: B below G is meant."""
    inner = ((55,), (59,), (55,))
    held = hold_chords(((43, 50, 55, 67), *inner, (47, 50, 55, 67), *inner, C, C), is_picked=None)
    assert [min(chord.pitches) for chord in held] == [43, 47, 48]


def test_a_bass_that_goes_down_under_a_picked_chord_is_found_where_it_is_hardly_heard() -> None:
    a_minor, f_sharp = ((57,), (60,), (64,)), ((42,), (57,), (62,), (66,))
    bars = ((45,), *a_minor, (43,), *a_minor, *f_sharp, (41,), *a_minor)
    held = hold_chords(bars * 2, is_picked=True, heard={4: {43: 1.0}, 20: {43: 1.0}})
    assert [min(chord.pitches) for chord in held] == [45, 43, 42, 41] * 2


def test_a_string_that_rings_on_under_a_picked_bass_is_not_the_bass() -> None:
    over_c_sharp, e = ((49,), (57,), (61,), (64,)), ((40,), (52,), (56,), (59,))
    faint = {57: 0.5, 49: 3.2}
    held = hold_chords((*over_c_sharp, *e) * 2, is_picked=True, heard={0: faint, 8: faint})
    assert [min(chord.pitches) for chord in held] == [49, 40, 49, 40]


def test_a_picked_pattern_that_skips_the_third_leaves_it_in_the_chord_and_a_strum_without_it_is_a_fifth() -> None:
    outer, inner, fifth, high_fifth = (G[0], G[-1]), (G[3],), (G[2],), (62,)
    (picked,) = hold_chords((outer, fifth, inner, outer) * 3, is_picked=True)
    assert {(midi - G[0]) % 12 for midi in picked.pitches} == {0, 4, 7}
    whole = (outer, fifth, inner, high_fifth) * 3
    for held in (
        *hold_chords(whole, is_picked=True),
        *hold_chords((tuple(sorted({midi for one in whole for midi in one})),) * 12),
    ):
        assert {(midi - G[0]) % 12 for midi in held.pitches} == {0, 7}, "no string is left for a third"


def test_of_a_third_that_a_pattern_skips_no_second_is_made_that_the_chord_before_has() -> None:
    d = ((50, 66), (57,), (62,), (57,))
    _, held = hold_chords((*d, (G[0], G[-1]), (G[2],), (G[3],), (G[0], G[-1])), is_picked=True)
    assert {(midi - G[0]) % 12 for midi in held.pitches} == {0, 4, 7}


def test_of_thirds_that_a_pattern_skips_none_is_made_up_that_no_other_chord_has() -> None:
    outer, inner, fifth = (G[0], G[-1]), (G[3],), (G[2],)
    (held,) = hold_chords((outer, fifth, inner, outer), is_picked=True, faint=62)
    assert 46 not in held.pitches, "B♭2, of G minor"


def test_a_skipped_third_is_held_where_the_scale_has_it_though_no_stroke_of_the_part_sounds_it() -> None:
    d_over_f_sharp, d7, e = ((42, 66), (57,), (62,), (57,)), ((50, 66), (57,), (60,), (57,)), ((40, 64), (52,), (55,))
    g = ((G[0], G[-1]), (G[2],), (G[3],), (G[0], G[-1]))
    chords = hold_chords((*g, *d_over_f_sharp, *d7, *e, (52,), *g), is_picked=True, faint=62)
    for held in (chords[0], chords[-1]):
        assert {(midi - G[0]) % 12 for midi in held.pitches} == {0, 4, 7}, "F♯ and C leave one scale, with B in it"


def test_what_is_picked_without_a_c_all_bar_long_is_no_chord_on_c() -> None:
    """G-E-G-B after C: the strings of 332000 without its fifth one, or E minor over its third."""
    c, over_g = ((48,), (52,), (55,), (60,)), ((43,), (52,), (55,), (59,))
    held = hold_chords((*c, *over_g) * 3, is_picked=True)
    assert held[1].pitches == {43, 52, 55, 59}


def test_a_single_note_that_is_all_there_is_before_the_first_bar_line_is_no_chord() -> None:
    """G by itself on the last beat before A minor: it has no third, and nothing else was held there."""
    beat = STEPS_PER_BEAT
    for before, is_picked, steps, is_note in (
        ((43,), True, (3 * beat, 0), True),
        (C, False, (3 * beat, 0), False),
        ((43,), True, (0, 2 * beat), False),
    ):
        stretches, strokes = hear_strokes((before, *(AM,) * 4, *(C,) * 4))
        stretches[0] = replace(stretches[0], is_picked=is_picked)
        bars = np.array([0, *[int(is_note or before == C)] * 4, 2, 2, 2, 2])
        places = np.array([*steps, beat, 2 * beat, 3 * beat, 0, beat, 2 * beat, 3 * beat])
        heard = HeardChords(decode_held_chords(stretches), np.full(9, 3.0), places == 0, bars, places)
        first = decode_held(heard, strokes, Fretboard())[0]
        assert (first.pitches == {43}) == is_note


def test_notes_that_lead_up_to_the_first_bar_line_by_steps_are_no_chord_and_those_of_a_chord_are_one() -> None:
    half = STEPS_PER_BEAT // 2
    for pickup, are_notes in (((52, 54), True), ((48, 52), False)):
        stretches, strokes = hear_strokes(((pickup[0],), (pickup[1],), *(G,) * 4, *(C,) * 4))
        stretches[:2] = [replace(one, is_picked=True) for one in stretches[:2]]
        bars, beats = np.repeat((0, 1, 2), (2, 4, 4)), np.tile(np.arange(4) * STEPS_PER_BEAT, 2)
        places = np.array([6 * half, 7 * half, *beats])
        heard = HeardChords(decode_held_chords(stretches), np.full(10, 3.0), places == 0, bars, places)
        held = decode_held(heard, strokes, Fretboard())
        assert ([sorted(chord.pitches) for chord in held[:2]] == [[52], [54]]) == are_notes


def _pick(*sounding: tuple[int, ...]) -> PartEvidence:
    """Make a part of single strings: of what sounds the first is struck and rises, the others ring on and fall."""
    stretches, strokes = hear_strokes(sounding)
    played = [
        replace(one, rises={midi: 12.0 if place < 1 else -2.0 for place, midi in enumerate(midis)})
        for one, midis in zip(strokes, sounding, strict=True)
    ]
    span = TimeSpan(0.0, STROKE_S * len(sounding))
    return PartEvidence(span, tuple(played), tuple(replace(one, is_picked=True) for one in stretches))


def test_a_string_picked_among_picked_ones_is_told_so_though_others_ring_and_a_strum_is_not() -> None:
    part = _pick(*[(48,), (52, 48), (55, 52, 48), (60, 55)] * 3)
    unsure = replace(
        part, stretches=tuple(replace(one, is_picked=place != 6) for place, one in enumerate(part.stretches))
    )
    assert all(one.is_picked for one in tell_picked(unsure).stretches)
    stretches, strokes = hear_strokes((C, AM, C, G) * 3)
    strummed = PartEvidence(
        TimeSpan(0.0, 6.0), tuple(replace(one, rises=dict.fromkeys(C, 8.0)) for one in strokes), tuple(stretches)
    )
    assert not any(one.is_picked for one in tell_picked(strummed).stretches)


def _strum_over(bass: int, *chords: tuple[int, ...]) -> PartEvidence:
    """Make a part of a bass picked alone and a strum over it, in turn: under the bass the chord before rings on."""
    stretches, strokes = hear_strokes(tuple(one for chord in chords for one in ((bass,), chord)))
    for place in range(0, len(strokes), 2):
        before = chords[place // 2 - 1] if place else ()
        falling = {midi: -3.0 for midi in before if midi != bass}
        stretches[place] = hear_strokes(((bass, *(midi for midi in before if midi != bass)),))[0][0]
        stretches[place] = replace(stretches[place], first=place, last=place, span=TimeSpan(*_span(place)))
        strokes[place] = replace(strokes[place], lean=0.2, rises={bass: 8.0, bass + 12: 9.0} | falling)
        strum = dict.fromkeys(chords[place // 2], 8.0) | {bass: 0.0}
        strokes[place + 1] = replace(strokes[place + 1], lean=3.0, rises=strum)
    return PartEvidence(TimeSpan(0.0, STROKE_S * len(strokes)), tuple(strokes), tuple(stretches))


def _span(place: int) -> tuple[float, float]:
    return STROKE_S * place, STROKE_S * (place + 1)


def test_a_bass_picked_under_a_chord_that_rings_on_is_picked_and_what_rings_says_nothing() -> None:
    """E in the bass under E, A and B: E major rings while the bass of A is picked; its octave rises as a partial."""
    e, a, b = (40, 52, 56, 59, 64), (40, 52, 57, 61, 64), (40, 54, 59, 63, 66)
    told = tell_picked(_strum_over(40, e, a, e, b, e, a)).stretches
    assert [one.is_picked for one in told] == [True, False] * 6
    assert told[2].log_odds[56] == 0.0
    assert told[2].log_odds[40] > 0.0


def test_where_nothing_is_heard_nothing_is_picked() -> None:
    part = _pick(*[(48,), (52, 48), (55, 52, 48), (60, 55)] * 3)
    damped = replace(part.stretches[6], log_odds=np.full_like(part.stretches[6].log_odds, -5.0))
    told = tell_picked(replace(part, stretches=(*part.stretches[:6], damped, *part.stretches[7:]))).stretches
    assert [place for place, one in enumerate(told) if not one.is_picked] == [6]


def test_of_a_bass_under_which_all_only_rings_what_rises_was_struck() -> None:
    told = tell_picked(_strum_over(40, (40, 52, 56, 59, 64), (40, 52, 57, 61, 64)))
    emptied = replace(told.stretches[2], log_odds=np.minimum(told.stretches[2].log_odds, 0.0))
    held = [40, 52, 57, 61, 64]
    (struck,) = find_struck([told.strokes[2]], [held], [emptied], None)
    assert struck is not None
    assert struck.places == (0,)


def test_a_chord_begins_with_the_bass_that_is_picked_before_its_first_strum() -> None:
    e, a = (40, 52, 56, 59, 64), (40, 52, 57, 61, 64)
    lone, strummed, other = (
        HeldChord(tuple(hear_strokes((midis,) * n)[0]), frozenset(midis))
        for midis, n in (((40,), 1), (e, 1), ((43,), 1))
    )
    chords = [_from(lone, 0), _from(strummed, 1), _from(other, 2), _from(replace(strummed, pitches=frozenset(a)), 3)]
    assert find_chord_starts(chords, [False, True, False, True]) == {0, 3}, (
        "G is not the lowest of A over E: it leads up to it"
    )


def _from(chord: HeldChord, place: int) -> HeldChord:
    return replace(chord, stretches=tuple(replace(one, first=place, last=place) for one in chord.stretches))


@pytest.mark.parametrize(
    ("lean", "sounding", "told"),
    [
        (0.3, ((45, 52, 57), (45, 52, 57), (41, 48, 53), (43, 50, 55)) * 3, ".........."),
        (0.3, (*((41, 48, 53),) * 5, *((46, 53, 58),) * 7), ".........."),
        (0.3, ((45,), (45, 52), (48, 52), (45, 48)) * 3, "PPPPPPPPPP"),
        (3.2, ((45,), *((45, 52),) * 11), "P.PP.PP.PP"),
        (0.3, ((45,), *((45, 52),) * 11), "PPPPPPPPPP"),
    ],
    ids=["begun with one stroke", "with a note in common", "begun one by one", "a sure way", "no way"],
)
def test_power_chords_in_a_row_are_no_picked_strings_where_they_begin_together_or_have_a_way(
    lean: float, sounding: tuple[tuple[int, ...], ...], told: str
) -> None:
    """Struck again and again as loud as before, hardly any of their notes rises."""
    stretches, strokes = hear_strokes(sounding)
    played = tuple(
        replace(one, lean=lean, rises={midi: (1.0, -1.0)[place % 2] for place, midi in enumerate(midis)})
        for one, midis in zip(strokes, sounding, strict=True)
    )
    heard = tuple(replace(one, is_picked=place % 3 > 0) for place, one in enumerate(stretches))
    found = tell_picked(PartEvidence(TimeSpan(0.0, 6.0), played, heard)).stretches
    assert "".join("P" if one.is_picked else "." for one in found[2:]) == told


def test_how_many_strings_a_chord_holds_says_nothing_of_a_picked_one() -> None:
    """G with its B strings left out of the pattern is as good as G and D alone: which it is, the prior must say."""
    part = tell_picked(_pick(*[(43,), (50, 43), (55, 50), (67, 55)] * 2))
    odds = measure_stroke_odds(part.stretches, part.strokes, stressed=np.arange(8) % 4 == 0, bars=np.arange(8) // 4)
    sets = [G, (43, 50, 55, 67)]
    opens = [pitch.midi for pitch in Fretboard().open_pitches]
    costs = weigh_sets(odds, find_lowest(sets), size_sets(odds, sets, sorted(opens)), USUAL_REACH, sorted(opens)).sum(
        axis=0
    )
    assert 0.0 < costs[0] - costs[1] < 2 * 2 * 1.0  # two bars, two strings that no bar sounds: under a nat each


def test_a_tune_over_a_chord_that_is_struck_before_it_is_no_chord() -> None:
    bars = ((G, (67,), (69,), (71,)), (D, (66,), (67,), (64,)), (EM, (64,), (69,), (66,)), (C, (60,), (65,), (64,)))
    held = hold_chords(tuple(one for bar in bars * 2 for one in bar), is_picked=None)
    assert [chord.pitches for chord in held] == [frozenset(bar[0]) for bar in bars * 2]


@pytest.mark.parametrize(
    ("played", "in_run"),
    [
        ((EM, (64,), C), (False, True, False)),
        ((G, (45,), (47,), C), (False, True, True, False)),
        ((C, (47,), AM), (False, True, False)),
        ((C, (43,), C), (False, False, False)),
        ((BM, (48,), C[1:]), (False, False, False)),
        ((C, (41,), F), (False, False, False)),
        ((C, (43,), (43, *AM)), (False, False, False)),
        (((48,), (52,), (55,), C), (False,) * 4),
        ((C, (64,), (65,), (67,), (65,), (64,), C), (False,) * 7),
    ],
    ids=[
        "tune",
        "walk",
        "walk on the root's string",
        "fifth below",
        "root a third below",
        "root",
        "slash",
        "no chord before",
        "line",
    ],
)
def test_single_notes_between_strums_are_a_run_but_for_a_bass(
    played: tuple[tuple[int, ...], ...], in_run: tuple[bool, ...]
) -> None:
    stretches = [replace(one, is_picked=len(one.sounding) == 1) for one in hear_strokes(played)[0]]
    assert tuple(find_runs(stretches).tolist()) == in_run
    all_picked = [replace(one, is_picked=True) for one in stretches]
    assert not find_runs(all_picked).any(), "in a pattern strings are picked for the chord"
    over = [HeldChord((one,), one.sounding) for one in stretches]
    costs = lay_in_bars(over, None).change_costs
    assert ((costs > CHANGE_COST) >= in_run).all(), "no chord begins with a note of a run"


def test_a_riff_under_strings_that_ring_on_is_a_line() -> None:
    riff = (40, 40, 43, 45, 47, 45, 43, 40)
    stretches, strokes = hear_strokes((D, *((note, *D) for note in riff), AM))
    for one in stretches[1:-1]:
        one.log_odds[list(D)] = 1.5
    picked = [replace(one, is_picked=0 < place < 8) for place, one in enumerate(stretches)]  # one is taken for a strum
    assert find_lines(picked, strokes) == dict(enumerate(riff, start=1))


def test_a_bass_that_is_picked_alone_is_as_sure_in_its_chord_as_it_was_by_itself() -> None:
    stretches, _ = hear_strokes((F[:1], (F[0], *F[3:]), (F[0], *F[3:])))
    for one in stretches[1:]:
        one.log_odds[F[0]] = 0.9
    held = HeldChord((replace(stretches[0], is_picked=True), *stretches[1:]), frozenset((F[0], *F[3:])))
    (kind,) = gather_held([held])
    assert {one.pitch.midi: one.log_odds for one in kind.evidence.pitches}[F[0]] == 5.0
