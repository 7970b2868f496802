"""What was held, decoded from strokes that sound only some of it; what was heard is written by hand.

Which shapes players hold is common practice (no source): x02210 is A minor, x20003 is G over B, 320003 is G.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.evidence import PartEvidence, PitchEvidence, Stretch, StrokeEvidence, StrumEvidence, TimeSpan
from listen.instrument import Fretboard, parse_tuning
from listen.theory import Pitch
from listen.transcription.chord_decoding import HeardChords, hear_chords
from listen.transcription.chord_kinds import gather_held
from listen.transcription.held_chords import HeldChord, decode_held_chords
from listen.transcription.held_decoding import cut_at_rests, decode_held, find_path
from listen.transcription.low_string import ask_about_low_string
from listen.transcription.no_strokes import drop_no_strokes
from listen.transcription.part_settings import PartSettings
from listen.transcription.picking import tell_picked
from listen.transcription.reach import USUAL_REACH
from listen.transcription.standing_basses import weigh_standing_basses
from listen.transcription.stroke_odds import measure_stroke_odds, size_sets, weigh_sets
from listen.transcription.voice_timing import weigh_in_time

STROKE_S, IN_BAR = 0.5, 4
C = (48, 52, 55, 60, 64)
AM = (45, 52, 57, 60, 64)
G = (43, 47, 50, 55, 59, 67)
G_OVER_B = G[1:]
EM = (40, 47, 52, 55, 59, 64)
F = (41, 48, 53, 57, 60, 65)
D = (50, 57, 62, 66)
BM = (47, 54, 59, 62, 66)
OPEN_E = 40


def _decode(*sounding: tuple[int, ...]) -> list[frozenset[int]]:
    """Decode downstrokes, four to a bar, each of which sounds these pitches."""
    return [chord.pitches for chord in _hold(sounding)]


def _hear(sounding: tuple[tuple[int, ...], ...]) -> tuple[list[Stretch], list[StrokeEvidence]]:
    stretches, strokes = [], []
    for place, midis in enumerate(sounding):
        span = TimeSpan(STROKE_S * place, STROKE_S * (place + 1))
        heard = tuple(
            PitchEvidence(Pitch(midi), 5.0 if midi in midis else -5.0, 3.0 if midi == min(midis) else -5.0)
            for midi in range(36, 84)
        )
        stretches.append(Stretch.of(StrumEvidence(span, heard), (place, place), span))
        strokes.append(StrokeEvidence(span.start_s, -20.0, lean=2.0))
    return stretches, strokes


def _hold(
    sounding: tuple[tuple[int, ...], ...], *, is_picked: bool = False, faint: int | None = None
) -> tuple[HeldChord, ...]:
    """Decode what is held; a faint pitch is heard a little in all strokes but the first of a bar."""
    stretches, strokes = _hear(sounding)
    stretches = [replace(one, is_picked=is_picked) for one in stretches]
    if faint is not None:
        for place, one in enumerate(stretches):
            one.log_odds[faint] = -1.0 if place % IN_BAR else one.log_odds[faint]
    bars = np.arange(len(stretches)) // IN_BAR
    costs = np.where(np.arange(len(stretches)) % IN_BAR == 0, 1.5, 4.5)
    heard_chords = HeardChords(decode_held_chords(stretches), costs, costs < 2.0, bars)
    return decode_held(heard_chords, strokes, Fretboard())


def test_a_bass_that_a_thumb_misses_now_and_then_makes_no_inversion() -> None:
    bar = (AM, AM[1:], AM[1:], AM)
    assert _decode(*[C] * 4, *bar, *bar, *[C] * 4) == [frozenset(C), frozenset(AM), frozenset(C)]


def test_a_bass_that_is_missed_for_a_whole_bar_of_a_chord_that_goes_on_makes_no_inversion() -> None:
    assert _decode(*[C] * 4, *[AM[1:]] * 4, *[AM] * 4) == [frozenset(C), frozenset(AM)]


def test_a_meant_bass_stays_in_the_chord() -> None:
    held = _decode(*[C] * 4, *[G_OVER_B] * 4, *[AM] * 4, *[G_OVER_B] * 4, *[C] * 4)
    assert held == [frozenset(C), frozenset(G_OVER_B), frozenset(AM), frozenset(G_OVER_B), frozenset(C)]


def test_a_lowest_string_that_sounds_in_no_bar_of_its_chord_speaks_against_it() -> None:
    odds = measure_stroke_odds(*_hear((C, C, G_OVER_B, G_OVER_B)), stressed=np.ones(4, bool), bars=np.arange(4))
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


def test_a_fifth_that_is_struck_by_itself_as_the_bass_is_meant() -> None:
    picked = ((45,), (57,), (62,), (66,)) * 3
    (held,) = _hold(picked, is_picked=True)
    assert min(held.pitches) == 45


def test_open_strings_brushed_while_the_hand_changes_are_no_chord() -> None:
    assert _decode(*[C] * 3, (50, 55, 59), *[AM] * 4) == [frozenset(C), frozenset(AM)]


def test_open_strings_pass_only_where_the_hand_leaves_its_chord() -> None:
    """The price of what passes holds for the last stroke of a chord, and not through the rest of it."""
    held, passing = np.array([[0.0, 9.0], [9.0, 0.0], [9.0, 0.0]]), np.array([[0.0, 9.0], [1.0, 0.0], [9.0, 0.0]])
    soon = find_path(held, np.array([0.0, 8.5, 2.0]), np.zeros(2), passing)
    assert (soon[1], soon[0]) == ([0, 0, 1], 3.0)
    held[:, 0] = 0.0, 3.0, 3.0
    stays = find_path(held, np.array([0.0, 8.5, 8.5]), np.zeros(2), np.minimum(held, 0.0))
    assert (stays[1], stays[0]) == ([0, 0, 0], 6.0)
    opens = tuple(sorted(pitch.midi for pitch in Fretboard().open_pitches))
    assert _decode(*[BM] * 5, *[opens] * 3, *[D] * 4) == [frozenset(BM), frozenset(opens), frozenset(D)]
    assert _decode(*[BM] * 7, opens, *[D] * 4) == [frozenset(BM), frozenset(D)]


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


def test_a_string_struck_alone_where_a_bar_begins_is_the_bass() -> None:
    brushed = G[2:]
    bars = [(G_OVER_B[0],), brushed, brushed, brushed]
    assert _decode(*[D] * 4, *bars, *[C] * 4, *bars, *[D] * 4)[1] == frozenset(G_OVER_B)
    sets, opens = [G, G_OVER_B], sorted(pitch.midi for pitch in Fretboard().open_pitches)
    stressed = np.array([True, False])
    odds = measure_stroke_odds(*_hear((G_OVER_B[:1],) * 2), stressed=stressed, bars=np.arange(2))
    costs = weigh_sets(odds, sets, size_sets(odds, sets, opens), USUAL_REACH, opens)
    over = costs[:, 0] - costs[:, 1]
    assert over[0] > over[1] + 1.5


def test_who_picks_strings_takes_care_of_the_lowest() -> None:
    """Bass and top string are pinched where a bar begins, and two inner strings picked: B below G is meant."""
    sounding = [(43, 50, 55, 67), (55,), (59,), (55,), (47, 50, 55, 67), (55,), (59,), (55,), *[C] * 2]
    stretches, strokes = _hear(tuple(sounding))
    picked = [replace(one, is_picked=len(midis) == 1) for one, midis in zip(stretches, sounding, strict=True)]
    costs = np.where(np.arange(10) % IN_BAR == 0, 1.5, 4.5)
    heard = HeardChords(decode_held_chords(picked), costs, costs < 2.0, np.arange(10) // IN_BAR)
    assert [min(chord.pitches) for chord in decode_held(heard, strokes, Fretboard())] == [43, 47, 48]


def test_a_chord_begins_with_the_bass_that_is_picked_before_it_is_strummed() -> None:
    """The new bass is a tone of the chord before, which rings on a little: the order says where the chord begins."""
    sounding = ((43,), G, G, (50,), D, D) * 4
    stretches, strokes = _hear(sounding)
    picked = tuple(replace(one, is_picked=len(midis) == 1) for one, midis in zip(stretches, sounding, strict=True))
    for one in picked:
        if one.sounding == {50}:
            one.log_odds[55] = 2.0
    heard = PartEvidence(TimeSpan(0.0, 12.0), tuple(strokes), picked)
    chords = hear_chords(heard, PartSettings()).chords
    assert [chord.strokes[0] for chord in chords] == list(range(0, 24, 3))


def test_a_string_that_some_strokes_miss_is_as_sure_as_in_the_others() -> None:
    (kind,) = gather_held(_hold((AM, AM[1:], AM[1:], AM[1:])))
    heard = {one.pitch.midi: one.log_odds for one in kind.evidence.pitches}
    assert heard[AM[0]] == 5.0
    assert heard[OPEN_E] <= -1.0


def test_a_picked_pattern_that_skips_the_third_leaves_it_in_the_chord_and_a_strum_without_it_is_a_fifth() -> None:
    outer, inner, fifth, high_fifth = (G[0], G[-1]), (G[3],), (G[2],), (62,)
    (picked,) = _hold((outer, fifth, inner, outer) * 3, is_picked=True)
    assert {(midi - G[0]) % 12 for midi in picked.pitches} == {0, 4, 7}
    whole = (outer, fifth, inner, high_fifth) * 3
    for held in (*_hold(whole, is_picked=True), *_hold((tuple(sorted({midi for one in whole for midi in one})),) * 12)):
        assert {(midi - G[0]) % 12 for midi in held.pitches} == {0, 7}, "no string is left for a third"


def test_of_a_third_that_a_pattern_skips_no_second_is_made_that_the_chord_before_has() -> None:
    d = ((50, 66), (57,), (62,), (57,))
    _, held = _hold((*d, (G[0], G[-1]), (G[2],), (G[3],), (G[0], G[-1])), is_picked=True)
    assert {(midi - G[0]) % 12 for midi in held.pitches} == {0, 4, 7}


def test_of_thirds_that_a_pattern_skips_none_is_made_up_that_no_other_chord_has() -> None:
    outer, inner, fifth = (G[0], G[-1]), (G[3],), (G[2],)
    (held,) = _hold((outer, fifth, inner, outer), is_picked=True, faint=62)
    assert 46 not in held.pitches, "B♭2, of G minor"


def test_a_skipped_third_is_held_where_the_scale_has_it_though_no_stroke_of_the_part_sounds_it() -> None:
    d_over_f_sharp, d7, e = ((42, 66), (57,), (62,), (57,)), ((50, 66), (57,), (60,), (57,)), ((40, 64), (52,), (55,))
    g = ((G[0], G[-1]), (G[2],), (G[3],), (G[0], G[-1]))
    chords = _hold((*g, *d_over_f_sharp, *d7, *e, (52,), *g), is_picked=True, faint=62)
    for held in (chords[0], chords[-1]):
        assert {(midi - G[0]) % 12 for midi in held.pitches} == {0, 4, 7}, "F♯ and C leave one scale, with B in it"


def test_what_is_picked_without_a_c_all_bar_long_is_no_chord_on_c() -> None:
    """G-E-G-B after C: the strings of 332000 without its fifth one, or E minor over its third."""
    c, over_g = ((48,), (52,), (55,), (60,)), ((43,), (52,), (55,), (59,))
    held = _hold((*c, *over_g) * 3, is_picked=True)
    assert held[1].pitches == {43, 52, 55, 59}


def test_no_chord_goes_on_through_a_silence() -> None:
    (chord,) = _hold((C, C))
    first, second = cut_at_rests((chord,), (TimeSpan(0.2, 0.9),))
    assert (first.pitches, first.span) == (frozenset(C), TimeSpan(0.0, 0.2))
    assert second.span == TimeSpan(0.5, 1.0)


def test_a_note_below_the_lowest_string_is_asked_about_when_it_comes_back() -> None:
    low_d = (38, 45, 50, 54)
    asked = ask_about_low_string(_hear((C, low_d, C, low_d))[0], Fretboard())
    assert asked is not None
    assert asked.startswith("D2 sounds, first at 0:00, and lies below the lowest string, E2: is the tuning drop D?")
    assert ask_about_low_string(_hear((C, low_d, C))[0], Fretboard()) is None
    low_c = (36, *low_d[1:])
    mostly_d = ask_about_low_string(_hear((low_c, low_d, low_d))[0], Fretboard())
    assert mostly_d is not None
    assert mostly_d.startswith("D2 sounds"), "the note that comes most, not the lowest"
    over_capo = ask_about_low_string(_hear((low_d, low_d))[0], Fretboard(capo_fret=2))
    assert over_capo is not None
    assert "is the tuning drop C?" in over_capo
    assert ask_about_low_string(_hear((low_d, low_d))[0], Fretboard(parse_tuning("drop D"))) is None


def test_a_part_that_is_counted_in_aloud_begins_with_its_first_strum() -> None:
    stretches, strokes = _hear((C,) * 8)
    spoken = [
        replace(one, evidence=replace(one.evidence, no_chord_reason="It dies away at once.")) for one in stretches[:3]
    ]
    whole = PartEvidence(TimeSpan(0.0, 4.0), tuple(strokes), (*spoken, *stretches[3:]))
    damped = replace(whole, strokes=tuple(replace(one, sustain_db=-9.0) for one in strokes))
    voice = replace(whole, strokes=(*(replace(one, sustain_db=14.0) for one in strokes[:3]), *strokes[3:]))
    assert drop_no_strokes(damped) is damped
    left = drop_no_strokes(voice)
    assert left.strokes == tuple(strokes[3:])
    assert [(one.first, one.last) for one in left.stretches] == [(place, place) for place in range(5)]


def test_syllables_between_strums_are_no_strokes_and_one_odd_strum_is() -> None:
    stretches, strokes = _hear((C,) * 24)
    still = {48: -2.0, 52: -2.0, 55: -2.0}
    struck = {48: 5.0, 52: 5.0, 55: 5.0}

    def make(syllables: set[int], late_s: float = 0.2) -> PartEvidence:
        heard = [
            replace(one, evidence=replace(one.evidence, no_chord_reason="A voice.")) if place in syllables else one
            for place, one in enumerate(stretches)
        ]
        played = [
            replace(one, onset_s=one.onset_s + (late_s if place in syllables else 0.0),
                    rises=still if place in syllables else struck)
            for place, one in enumerate(strokes)
        ]  # fmt: skip
        return PartEvidence(TimeSpan(0.0, 12.0), tuple(played), tuple(heard))

    alone = make({7}, late_s=0.0)
    assert drop_no_strokes(alone) is alone
    talk = make({3, 4, 9, 10, 14, 17, 20})
    left = drop_no_strokes(talk)
    assert len(left.strokes) == 17
    ends_s = [one.span.end_s for one in left.stretches]
    assert ends_s[:-1] == [one.span.start_s for one in left.stretches[1:]], "strings ring on through a syllable"
    assert len(drop_no_strokes(make({3, 4, 9, 10, 14, 17, 20}, late_s=0.0)).strokes) == 24, "in time, it may be a hand"
    speech = make(set(range(22)))
    assert drop_no_strokes(speech) is speech


def test_late_strings_are_joined_to_their_strum_and_bring_what_they_sound() -> None:
    stretches, strokes = _hear((C,) * 6 + (C[:3], C) + (C,) * 6)
    moved = [replace(one, onset_s=STROKE_S * place) for place, one in enumerate(strokes)]
    times_s = [STROKE_S * place for place in (*range(7), 6.45, *range(7, 13))]
    played = [
        replace(one, onset_s=at_s, late=0.7 if place == 7 else 0.0)
        for place, (one, at_s) in enumerate(zip(moved, times_s, strict=True))
    ]
    left = drop_no_strokes(PartEvidence(TimeSpan(0.0, 7.0), tuple(played), tuple(stretches)))
    assert [one.onset_s for one in left.strokes] == [STROKE_S * place for place in range(13)]
    assert left.stretches[6].sounding == frozenset(C)
    assert len(left.stretches) == len(left.strokes)


def test_time_settles_what_sound_leaves_open_and_nothing_else() -> None:
    onsets_s = np.sort(np.concatenate([np.arange(0.5, 12.5, 0.5), [3.17, 6.31, 9.22]]))
    on_time = np.isclose(onsets_s % 0.5, 0.0)
    weighed = weigh_in_time(onsets_s, np.full(len(onsets_s), 0.4))
    assert (weighed[~on_time] > 0.8).all()
    assert (weighed[on_time] < 0.2).all()
    sure = weigh_in_time(onsets_s, np.full(len(onsets_s), 0.001))
    assert (sure < 0.05).all(), "where nobody speaks, a stroke out of time is a stroke"


def _pick(*sounding: tuple[int, ...]) -> PartEvidence:
    """Make a part of single strings: of what sounds the first is struck and rises, the others ring on and fall."""
    stretches, strokes = _hear(sounding)
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
    stretches, strokes = _hear((C, AM, C, G) * 3)
    strummed = PartEvidence(
        TimeSpan(0.0, 6.0), tuple(replace(one, rises=dict.fromkeys(C, 8.0)) for one in strokes), tuple(stretches)
    )
    assert not any(one.is_picked for one in tell_picked(strummed).stretches)


def test_how_many_strings_a_chord_holds_says_nothing_of_a_picked_one() -> None:
    """G with its B strings left out of the pattern is as good as G and D alone: which it is, the prior must say."""
    part = tell_picked(_pick(*[(43,), (50, 43), (55, 50), (67, 55)] * 2))
    odds = measure_stroke_odds(part.stretches, part.strokes, stressed=np.arange(8) % 4 == 0, bars=np.arange(8) // 4)
    sets = [G, (43, 50, 55, 67)]
    opens = [pitch.midi for pitch in Fretboard().open_pitches]
    costs = weigh_sets(odds, sets, size_sets(odds, sets, sorted(opens)), USUAL_REACH, sorted(opens)).sum(axis=0)
    assert 0.0 < costs[0] - costs[1] < 2 * 2 * 1.0  # two bars, two strings that no bar sounds: under a nat each
