"""The teacher's word: on one finding or on a bar, counted once, taken back."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from listen.assessment import apply_words, take_back
from listen.reading import (
    BarOutcome,
    Check,
    ChordAlwaysRight,
    EveryBarRight,
    Finding,
    SomeBarsRight,
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
