"""A bar in which nothing is struck is said to be left out where a chord had to be struck, and is never praised."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from listen.assessment import apply_words, assess
from listen.assessment.assess import judge
from listen.document import parse_chart
from listen.reading import ChangesInTime, Check, EveryBarRight, PerformedStroke, StoppedAt, TeacherWord, TeacherWords
from tests.hand_made_performances import perform, strum

ROW = ("C", "G", "Am", "F", "C", "G", "Am", "F", "C")
PATTERN = "pattern: D . D U . U D U\n"
BAR_S = 2.4


def check(row: Sequence[str], silent: int, *, head: str = "", pattern: Sequence[float] | None = None) -> Check:
    """Check bars strummed as set, one of which is silent while the tempo goes on."""
    strokes = strum(row) if pattern is None else strum(row, pattern=pattern)
    kept = [one for one in strokes if not -0.01 < one[0] - (silent - 1) * BAR_S < BAR_S - 0.01]
    return assess(perform(kept), parse_chart(f"tempo: 100\n{head}| {' | '.join(row)} |"))


def told(found: Check) -> list[tuple[str, int, bool]]:
    return [(one.kind, one.bar, one.settled) for one in found.findings]


@pytest.mark.parametrize("head", ["", PATTERN])
def test_a_silent_bar_is_left_out_and_no_bar_of_many_right_ones(head: str) -> None:
    found = check(ROW, 6, head=head)
    assert told(found) == [("left out", 6, True)]
    assert [bar.state for bar in found.bars] == ["right"] * 5 + ["left out"] + ["right"] * 3
    assert found.share_right == pytest.approx(8 / 9)
    assert not {EveryBarRight(8), EveryBarRight(9), ChangesInTime()} & set(found.praise)


def test_one_stroke_that_is_missing_is_a_question() -> None:
    found = check(ROW, 6, pattern=(0.0,))
    assert told(found) == [("left out", 6, False)]
    assert found.bars[5].state == "question"
    assert ChangesInTime() not in found.praise


def test_a_chord_that_lasts_over_two_bars_may_ring_where_no_pattern_was_set() -> None:
    row = ("C", "G", "Am", "F", "C", "C", "Am", "F", "C")
    assert told(check(row, 6)) == []
    assert told(check(row, 6, head=PATTERN)) == [("left out", 6, True)]


@pytest.mark.parametrize("written", ["N.C.", "?", ""])
def test_where_no_chord_is_set_nothing_has_to_be_struck(written: str) -> None:
    bars = " | ".join([*ROW[:5], written, *ROW[6:]])
    kept = [one for one in strum(ROW) if not -0.01 < one[0] - 5 * BAR_S < BAR_S - 0.01]
    for head in ("", PATTERN):
        assert told(assess(perform(kept), parse_chart(f"tempo: 100\n{head}| {bars} |"))) == []


def test_the_teacher_may_say_that_a_silent_bar_is_right() -> None:
    heard = apply_words(check(ROW, 6), TeacherWords((TeacherWord(6, None, "right"),)))
    assert heard.praise[0] == EveryBarRight(9)
    assert ChangesInTime() in heard.praise


@pytest.mark.parametrize("head", ["", PATTERN])
@pytest.mark.parametrize("after_s", [(0.0,), (0.3,), (0.0, 1.2)])
def test_a_hand_that_damps_the_strings_after_an_early_end_has_stopped_and_left_out_no_bar(
    head: str, after_s: tuple[float, ...]
) -> None:
    played = perform(strum(ROW[:-1]))
    hits = tuple(PerformedStroke(1.0 + 8 * BAR_S + each_s, is_hit=True) for each_s in after_s)
    damped = replace(played, strokes=(*played.strokes, *hits))
    found = assess(damped, parse_chart(f"tempo: 100\n{head}| {' | '.join(ROW)} |"))
    assert told(found) == [("stopped", 8, True)]
    assert [bar.state for bar in found.bars] == ["right"] * 8 + ["left out"]


@pytest.mark.parametrize("after_s", [(0.3, 1.5, 2.7, 3.9, 6.3, 8.7), (9.0, 9.3)])
def test_the_playing_has_stopped_at_its_last_stroke_not_at_a_knock_after_it(after_s: tuple[float, ...]) -> None:
    played = perform(strum(ROW[:4]))
    last_s = played.strokes[-1].time_s
    knocks = tuple(PerformedStroke(1.0 + 4 * BAR_S + each_s, is_hit=True) for each_s in after_s)
    knocked = replace(played, strokes=(*played.strokes, *knocks), duration_s=knocks[-1].time_s + 0.5, breaks_off=True)
    judged = judge(knocked, parse_chart(f"tempo: 100\n{PATTERN}| {' | '.join(ROW[:8])} |"))
    (found,) = judged.check.findings
    assert (found.kind, found.bar) == ("stopped", 4)
    assert found.time_s == pytest.approx(last_s)
    assert isinstance(found.measure, StoppedAt)
    assert not found.measure.breaks_off
    assert [bar.state for bar in judged.check.bars] == ["right"] * 4 + ["left out"] * 4
    assert judged.placed is not None
    assert {stroke for run in judged.placed.runs for stroke in run.strokes} == set(range(len(played.strokes)))


def test_hits_that_are_set_in_a_last_bar_without_a_chord_are_played_to_the_end() -> None:
    played = perform(strum(ROW))
    hits = tuple(PerformedStroke(1.0 + 9 * BAR_S + each_s, is_hit=True) for each_s in (0.0, 0.6))
    found = assess(
        replace(played, strokes=(*played.strokes, *hits)), parse_chart(f"tempo: 100\n| {' | '.join(ROW)} | N.C. |")
    )
    assert told(found) == []
