"""The teacher's word: on one finding or on a bar, counted once, taken back."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest

from listen.assessment import add_words, apply_words, check_places, take_back
from listen.document import parse_chart
from listen.errors import BadValueError
from listen.reading import (
    BarOutcome,
    Check,
    ChordAlwaysRight,
    EveryBarRight,
    Finding,
    GuitarInTune,
    OffPitch,
    OtherMetre,
    OtherTempo,
    PartOfChord,
    SomeBarsRight,
    StoppedAt,
    TeacherWord,
    TeacherWords,
    Verdict,
    WayKept,
)

HAND = Finding("way", 1, 1.0, 0.5, probability=0.7, settled=False, measure=WayKept(62))


def of_three_bars(*findings: Finding) -> Check:
    """A check of three bars: the first two right, in the third another chord."""
    bars = tuple(BarOutcome(bar, "finding" if bar == 3 else "right", "C") for bar in (1, 2, 3))
    wrong = Finding("chord", 3, 1.0, 6.0, "C", "Am", 0.95)
    return Check("", "", bars=bars, findings=(*findings, wrong), praise=(SomeBarsRight(2, 3),), tempo_bpm=96.0)


def test_a_word_on_the_hand_leaves_every_bar_as_it_was() -> None:
    check = of_three_bars(HAND)
    for verdict in get_args(Verdict):
        told = apply_words(check, TeacherWords((TeacherWord(1, 1.0, verdict, "way"),)))
        assert [one.verdict for one in told.findings] == [verdict, None]
        assert told.bars == check.bars
        assert apply_words(check, TeacherWords((TeacherWord(1, 1.0, verdict),))).bars == check.bars  # as kept before
    assert apply_words(check, TeacherWords((TeacherWord(1, None, "right"),))).findings[0].verdict is None
    told = apply_words(check, TeacherWords((TeacherWord(1, None, "wrong"),)))
    assert [(one.kind, one.verdict) for one in told.findings] == [("teacher", "wrong"), ("way", None), ("chord", None)]


def test_a_word_is_on_one_finding_of_those_on_its_beat() -> None:
    strings = [Finding("silent string", 1, 1.0, 0.5, probability=0.95, string=string) for string in (1, 2)]
    check = of_three_bars(*strings)
    told = apply_words(check, TeacherWords((TeacherWord(1, 1.0, "right", "silent string", 2),)))
    assert [one.verdict for one in told.findings] == [None, "right", None]
    assert told.bars[0].state == "finding"


def test_a_word_on_the_metre_says_nothing_of_the_tempo() -> None:
    metre = Finding("metre", 1, 1.0, 0.5, measure=OtherMetre(4, 3))
    check = of_three_bars(metre, Finding("tempo", 1, 1.0, 0.5, measure=OtherTempo(60, 96)))
    told = apply_words(check, TeacherWords((TeacherWord(1, 1.0, "right", "metre"),)))
    assert {one.kind: one.verdict for one in told.findings} == {"metre": "right", "tempo": None, "chord": None}


def test_bars_are_counted_anew_after_the_teachers_word() -> None:
    check = of_three_bars()
    told = apply_words(check, TeacherWords((TeacherWord(3, 1.0, "right", "chord"),)))
    assert told.praise[0] == EveryBarRight(3)
    told = apply_words(check, TeacherWords((TeacherWord(2, None, "wrong"),)))
    assert SomeBarsRight(1, 3) in told.praise
    assert SomeBarsRight(2, 3) not in told.praise


def test_a_chord_was_right_every_time_until_the_teacher_hears_otherwise() -> None:
    check = replace(of_three_bars(), praise=(ChordAlwaysRight("G"),))
    check = replace(check, bars=(replace(check.bars[0], expected="G"), *check.bars[1:]))
    for bar, stays in ((1, False), (2, True)):
        told = apply_words(check, TeacherWords((TeacherWord(bar, None, "wrong"),)))
        assert (ChordAlwaysRight("G") in told.praise) == stays


def test_a_word_that_is_taken_back_is_the_one_on_the_finding_or_the_one_around_it() -> None:
    bar, chord = TeacherWord(3, None, "right"), TeacherWord(3, 1.0, "wrong", "chord")
    assert take_back(TeacherWords((bar, chord)), chord).words == (bar,)
    assert take_back(TeacherWords((bar,)), chord).words == ()
    heard = TeacherWords((TeacherWord(2, None, "wrong"), chord))
    assert take_back(heard, TeacherWord(2, 1.0, "wrong", "teacher")).words == (chord,)


def test_what_is_said_now_goes_before_what_was_said_before() -> None:
    """Both are kept: each is about another place, and the later one settles the finding."""
    whole, beat = TeacherWord(3, None, "right"), TeacherWord(3, 1.0, "wrong")
    for before, now in ((whole, beat), (beat, whole)):
        check = replace(of_three_bars(), teacher=TeacherWords((before,)))
        words = add_words(check, TeacherWords((now,)))
        assert words.words == (before, now)
        assert apply_words(check, words).findings[0].verdict == now.verdict


def test_of_two_words_on_one_place_the_last_is_kept() -> None:
    wrong, right, other = TeacherWord(1, None, "wrong"), TeacherWord(1, None, "right"), TeacherWord(2, None, "wrong")
    assert add_words(of_three_bars(), TeacherWords((wrong, other, right))).words == (other, right)
    check = replace(of_three_bars(), teacher=TeacherWords((wrong, other)))
    assert add_words(check, TeacherWords((right,))).words == (other, right)


@pytest.mark.parametrize(
    ("chart", "bar", "beat", "said"),
    [
        ("| C | G |", 1, 9.0, r"correct=1\.9 .*a beat of bar 1, which has 4.*1=wrong"),
        ("| C | G |", 1, 5.0, "a beat of bar 1, which has 4"),
        ("metre: 3/4\n| C | G |", 2, 4.0, "a beat of bar 2, which has 3"),
        ("pickup: 1\n| C | G |", 0, 2.0, "beat 1 of bar 0, which has no other"),
        ("| C | G |", 3, None, "a bar from 1 to 2"),
    ],
)
def test_a_word_on_no_place_of_what_was_set_is_refused(chart: str, bar: int, beat: float | None, said: str) -> None:
    with pytest.raises(BadValueError, match=said):
        check_places(TeacherWords((TeacherWord(bar, beat, "wrong"),)), parse_chart(chart))


def test_every_beat_of_a_bar_may_be_corrected() -> None:
    words = tuple(TeacherWord(1, beat, "right") for beat in (None, 1.0, 3.5, 4.5))
    check_places(TeacherWords(words), parse_chart("| C | G |"))


@pytest.mark.parametrize(("beat", "verdict"), [(1.0, "right"), (3.0, "right"), (4.0, None)])
def test_a_word_on_the_beat_where_another_chord_begins_is_on_that_chord(beat: float, verdict: Verdict | None) -> None:
    half = Finding("chord", 2, 1.0, 4.0, "C", "D", 0.95, measure=PartOfChord(3, goes_on=True))
    told = apply_words(of_three_bars(half), TeacherWords((TeacherWord(2, beat, "right"),)))
    assert told.findings[0].verdict == verdict


@pytest.mark.parametrize("verdict", get_args(Verdict))
def test_of_a_recording_that_was_not_judged_nothing_is_praised_after_a_word(verdict: Verdict) -> None:
    bars = tuple(BarOutcome(bar, "not judged", "C") for bar in (1, 2))
    check = Check("", "", bars=bars, refused="Nothing sounds in this recording.")
    assert apply_words(check, TeacherWords((TeacherWord(1, None, verdict),))).praise == ()


def test_a_word_calls_no_guitar_in_tune_that_was_not_measured() -> None:
    word = TeacherWords((TeacherWord(3, None, "right"),))
    assert GuitarInTune() not in apply_words(of_three_bars(), word).praise
    measured = replace(of_three_bars(), praise=(GuitarInTune(),))
    assert GuitarInTune() in apply_words(measured, word).praise
    flat = Finding("out of tune", 1, 1.0, 0.5, probability=0.95, string=2, measure=OffPitch(30, is_sharp=False))
    assert GuitarInTune() not in apply_words(of_three_bars(flat), word).praise
    heard = TeacherWords((TeacherWord(1, 1.0, "right", "out of tune", 2),))
    assert GuitarInTune() in apply_words(of_three_bars(flat), heard).praise


def stop_after_two() -> Check:
    """A check of four bars, of which the first two were played, and are right."""
    bars = tuple(BarOutcome(bar, "right" if bar < 3 else "left out", "C") for bar in (1, 2, 3, 4))
    stop = Finding("stopped", 2, 1.0, 5.0, measure=StoppedAt(4))
    return Check("", "", bars=bars, findings=(stop,), tempo_bpm=96.0)


def test_who_is_said_to_have_played_every_bar_did_not_stop() -> None:
    words = TeacherWords((TeacherWord(3, None, "right"), TeacherWord(4, None, "right")))
    told = apply_words(stop_after_two(), words)
    assert told.findings[0].verdict == "right"
    assert EveryBarRight(4) in told.praise
    assert apply_words(stop_after_two(), TeacherWords()).findings[0].verdict is None


def test_who_stopped_is_not_told_that_every_bar_is_right() -> None:
    part = apply_words(stop_after_two(), TeacherWords((TeacherWord(3, None, "right"),)))
    assert part.findings[0].verdict is None
    stop = Finding("stopped", 2, 1.0, 5.0, measure=StoppedAt(4, breaks_off=True))
    cut = replace(stop_after_two(), findings=(stop,))
    told = apply_words(cut, TeacherWords((TeacherWord(3, None, "right"), TeacherWord(4, None, "right"))))
    assert told.findings[0].verdict is None, "that the file is whole was not said"
    assert EveryBarRight(4) not in told.praise
