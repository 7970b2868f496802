"""What is found in performances whose mistakes were planted, from hand-written evidence: no sound is made or heard."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import mir_eval
import numpy as np
import pytest

from listen.assessment import add_words, apply_words, assess, check_playable, compare_checks, judge
from listen.document import parse_chart, parse_chords
from listen.errors import BadValueError, ListenError
from listen.reading import (
    Check,
    ChordAlwaysRight,
    EveryBarRight,
    MoveFinger,
    OffPitch,
    OtherKey,
    OtherSetting,
    Performance,
    TeacherWord,
    TeacherWords,
)
from tests.benchmarks.homework_scenes import MISTAKES, Homework, make_homework
from tests.benchmarks.homework_score import is_found, sign_cents
from tests.hand_made_performances import hear_chords, hear_scene

SEEDS = range(3)


def homework(mistake: str, seed: int) -> tuple[Homework, Check]:
    """A student's homework with one mistake, checked."""
    made = make_homework(7000 + 100 * seed + MISTAKES.index(mistake), mistake)
    return made, assess(hear_scene(made.scene), made.assignment)


@pytest.mark.parametrize("mistake", [one for one in MISTAKES if one != "none"])
def test_a_planted_mistake_is_found_and_nothing_else_is_said(mistake: str) -> None:
    found, said, planted = 0, 0, 0
    for seed in SEEDS:
        made, check = homework(mistake, seed)
        for one in made.planted:
            planted += 1
            found += any(is_found(finding, one, settled=False) for finding in check.findings)
        said += sum(
            finding.settled and not any(is_found(finding, one) or finding.bar == one.bar for one in made.planted)
            for finding in check.findings
        )
    assert found == planted > 0
    assert said == 0


def test_right_playing_is_right_in_every_bar_and_praised() -> None:
    for seed in SEEDS:
        made, check = homework("none", seed)
        assert Counter(bar.state for bar in check.bars) == {"right": len(made.assignment.bars)}
        assert check.findings == ()
        assert isinstance(check.praise[0], EveryBarRight)


def test_beats_are_where_the_generator_put_them() -> None:
    for seed in SEEDS:
        made, check = homework("none", seed)
        wanted = np.array([start for _, start, _ in made.bars])
        heard = np.array([bar.start_s for bar in check.bars if bar.start_s is not None])
        assert mir_eval.beat.f_measure(wanted, heard, f_measure_threshold=0.07) == pytest.approx(1.0)
        assert check.tempo_bpm == pytest.approx(made.scene.tempo_bpm, rel=0.04)


def test_a_step_lower_is_one_finding_and_the_rest_is_judged_relative_to_it() -> None:
    for seed in SEEDS:
        made, check = homework("setting", seed)
        assert [one.kind for one in check.findings if one.settled] == ["setting"]
        assert {bar.state for bar in check.bars} == {"right"}
        assert made.planted


C_G_AM_F = ("C3 E3 G3 C4 E4", "G2 B2 D3 G3 B3 G4", "A2 E3 A3 C4 E4", "F2 C3 F3 A3 C4 F4")


@pytest.mark.parametrize(
    ("row", "key", "semitones"),
    [("F C Dm Bb", "F major", -5), ("E B C#m A", "E major", -4), ("D A Bm G", "D major", -2)],
)
def test_open_shapes_in_another_key_are_no_guitar_that_wants_tuning_up(row: str, key: str, semitones: int) -> None:
    check = assess(hear_chords(C_G_AM_F * 2), parse_chords(f"{row} {row}"))
    (finding,) = check.findings
    assert finding.measure == OtherKey("C major", key, semitones, is_in_tune=True)
    assert not any(isinstance(one, EveryBarRight) for one in check.praise)


def test_a_guitar_tuned_down_and_a_capo_far_up_stay_what_they_are() -> None:
    down = ("D3 G3 D4 F#4", "A2 E3 A3 C#4 E4", "B2 F#3 B3 D4 F#4", "G2 B2 D3 G3 B3 G4")
    for shift, names, row in ((-2, "D A Bm G", down), (7, "C G Am F", C_G_AM_F)):
        check = assess(hear_chords(row * 2, moved=shift), parse_chords(f"{names} {names}"))
        assert [one.measure for one in check.findings] == [OtherSetting(shift, 0)]
    forgotten = assess(
        hear_chords(("G2 B2 D3 G3 B3 G4", *down[:1], "E2 B2 E3 G3 B3 E4", "C3 E3 G3 C4 E4") * 2, moved=-1),
        parse_chart("capo: 2\nfree time\n| G | D | Em | C | G | D | Em | C |"),
    )
    assert [one.measure for one in forgotten.findings] == [OtherSetting(-3, 2)], "half a tone down, and no capo"


def test_a_bass_is_never_asked_to_be_the_note_that_it_is() -> None:
    """No note is sure to be the lowest, and the one that was set is the likeliest."""
    played = hear_chords(("D3 F3 A3 C4",) * 4)
    sounds = tuple(
        replace(
            one,
            pitches=tuple(replace(pitch, bass_log_odds=0.2 - 0.1 * (at > 0)) for at, pitch in enumerate(one.pitches)),
        )
        for one in played.sounds
    )
    check = assess(replace(played, sounds=sounds), parse_chart("matters: bass\nfree time\n| Dm7 | Dm7 | Dm7 | Dm7 |"))
    assert check.findings == ()


def test_another_piece_is_said_and_not_judged() -> None:
    made, _ = homework("none", 0)
    other = parse_chart("tempo: 90\n| Ab | Db7 | Gbmaj7 | Bbm | Ebm | Abm | Cb | Db |")
    check = assess(hear_scene(made.scene), other)
    assert "does not look like what was set" in check.refused
    assert check.findings == ()


def test_silence_is_said() -> None:
    check = assess(Performance(10.0), parse_chords("C G"))
    assert check.refused == "Nothing sounds in this recording."


def test_a_few_chords_in_free_time_are_judged_by_themselves() -> None:
    check = assess(hear_chords(("C4 E4 G4", "G3 B3 D4", "A3 C4 E4", "D3 F#3 A3")), parse_chords("C G Am F"))
    assert [(one.kind, one.expected, one.heard) for one in check.findings] == [("chord", "F", "D")]


@pytest.mark.parametrize(("chord", "says"), [("C", ""), ("x32010", ""), ("F", "does not look like what was set")])
def test_one_strum_of_one_chord_is_judged(chord: str, says: str) -> None:
    check = assess(hear_chords(("C3 E3 G3 C4 E4",)), parse_chords(chord))
    assert (says in check.refused) if says else [bar.state for bar in check.bars] == ["right"]
    few = assess(hear_chords(("C3 E3 G3 C4 E4",)), parse_chords("C G Am F"))
    assert few.refused == "Only one stroke with notes: too few to hold against what was set."


def test_a_stroke_without_pitch_stands_for_no_chord_in_free_time() -> None:
    played = hear_chords(("C4 E4 G4", "G3 B3 D4", "A3 C4 E4", "F3 A3 C4"))
    strokes = tuple(replace(one, sound=-1, is_hit=True) if at == 2 else one for at, one in enumerate(played.strokes))
    check = assess(replace(played, strokes=strokes), parse_chords("C G Am F"))
    assert {"chord", "left out"} & {one.kind for one in check.findings}
    assert "not judged" not in [bar.state for bar in check.bars]


def test_the_hint_names_finger_string_and_fret() -> None:
    chart = parse_chart("matters: notes\nC = x32010\nG = 320003\n|: C | G :| x4")
    c7, g = "C3 E3 Bb3 C4 E4", "G2 B2 D3 G3 B3 G4"
    check = assess(hear_chords((c7,) * 8 + (g,) * 8 + (("C3 E3 G3 C4 E4",) * 8 + (g,) * 8) * 3, gap_s=0.25), chart)
    (wrong,) = check.findings
    assert (wrong.kind, wrong.bar, wrong.string, wrong.expected, wrong.heard) == ("extra string", 1, 3, "G3", "Bb3")
    assert wrong.hint == MoveFinger(string=3, fret=3, set_fret=0, finger=0)


def test_a_note_stands_for_one_of_two_strings_that_are_silent() -> None:
    """D4 lies two semitones from C4 and from E4, and the first string is open at E4: it is the second's."""
    chart = parse_chart("tempo: 60\nmatters: shape\n|: C | C :| x2")
    played = hear_chords(["C3 E3 G3 C4 E4"] * 4 + ["C3 E3 G3 D4"] * 4 + ["C3 E3 G3 C4 E4"] * 8)
    found = [(one.kind, one.bar, one.string, one.expected, one.heard) for one in assess(played, chart).findings]
    assert found == [("extra string", 2, 2, "C4", "D4"), ("silent string", 2, 1, "E4", "")]


def test_what_no_hand_can_play_is_said_before_anything_is_heard() -> None:
    with pytest.raises(ListenError, match="no hand can hold"):
        check_playable(parse_chart("C = x-1-9-17-1-9\n| C |"))
    with pytest.raises(ListenError, match="no tone of it"):
        check_playable(parse_chart("C = 320003\n| C |"))


def test_the_teachers_verdict_goes_first_and_survives() -> None:
    made, check = homework("chord", 0)
    bar = made.planted[0].bar
    words = add_words(check, TeacherWords((TeacherWord(bar, None, "right"),), "Well heard!"))
    corrected = apply_words(check, words)
    assert not any(one.is_said for one in corrected.findings)
    assert corrected.bars[bar - 1].state == "right"
    again = add_words(corrected, TeacherWords((TeacherWord(2, 3.0, "wrong"),)))
    assert again.note == "Well heard!"
    assert {(one.bar, one.verdict) for one in again.words} == {(bar, "right"), (2, "wrong")}
    assert any(one.kind == "teacher" and one.bar == 2 for one in apply_words(check, again).findings)


def test_a_correction_to_a_bar_that_is_not_there_is_refused() -> None:
    _, check = homework("none", 0)
    with pytest.raises(BadValueError, match="a bar from 1 to"):
        add_words(check, TeacherWords((TeacherWord(99, None, "right"),)))


def test_a_chord_is_not_right_every_time_where_a_bar_of_it_was_left_out() -> None:
    chart = parse_chart("tempo: 60\n| C | G | Am | F | C | D |")
    rows = [(one,) * 4 for one in (*C_G_AM_F, C_G_AM_F[0], "E3 G3 B3 E4")]
    whole = assess(hear_chords(tuple(stroke for row in rows for stroke in row)), chart)
    assert ChordAlwaysRight("C") in whole.praise
    early = assess(hear_chords(tuple(stroke for row in rows[1:] for stroke in row)), chart)
    assert "left out" in {bar.state for bar in early.bars}
    assert ChordAlwaysRight("C") not in early.praise


@pytest.mark.parametrize(("n_strokes", "asked"), [(1, []), (4, [("bass", 2, "C", "E")])])
def test_one_stroke_that_does_not_raise_a_ringing_bass_does_not_take_it_away(
    n_strokes: int, asked: list[tuple[str, int, str, str]]
) -> None:
    """A chord struck again while it rings: a stroke often fails to raise a string that it strikes; four hardly do."""
    played = hear_chords(("C3 E3 G3 C4 E4",) * (4 + n_strokes))
    rises = ((48, -3.0), (52, 2.0), (55, 6.0), (60, 8.0), (64, 8.0))
    strokes = tuple(replace(one, rises=rises) if at >= 4 else one for at, one in enumerate(played.strokes))
    low = {48: 1.0, 52: -1.0}
    sounds = tuple(
        replace(one, pitches=tuple(replace(each, bass_log_odds=low.get(each.midi, -6.0)) for each in one.pitches))
        for one in played.sounds
    )
    check = assess(replace(played, strokes=strokes, sounds=sounds), parse_chart("tempo: 60\nmatters: bass\n| C | C |"))
    assert [(one.kind, one.bar, one.expected, one.heard) for one in check.findings] == asked


def test_last_weeks_check_is_compared() -> None:
    _, before = homework("chord", 0)
    now = replace(before, findings=(), bars=tuple(replace(bar, state="right") for bar in before.bars))
    assert compare_checks(now, before).trend == "better"
    assert compare_checks(before, now).trend == "worse"
    assert compare_checks(now, now).trend == "same"
    assert compare_checks(now, before).mended[0].startswith("the chord ")


def test_cents_follow_the_generators_truth() -> None:
    for seed in SEEDS:
        made, check = homework("out of tune", seed)
        finding = next(one for one in check.findings if one.kind == "out of tune")
        assert isinstance(finding.measure, OffPitch)
        assert finding.string == made.planted[0].string
        assert sign_cents(finding.measure) == pytest.approx(float(made.planted[0].detail), abs=4.0)


def test_nothing_is_surer_than_the_program_can_be() -> None:
    made, _ = homework("chord", 1)
    judged = judge(hear_scene(made.scene), made.assignment)
    assert all(0.0 <= one.finding.probability < 1.0 for one in judged.doubts)
