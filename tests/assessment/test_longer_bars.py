"""Whether bars are said to have other beats than were set: where they have, and nowhere else."""

from __future__ import annotations

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import GuitarInTune, OtherMetre
from tests.hand_made_performances import perform, strum

ROW = ("C", "C", "Am", "Am", "F", "G", "C", "G")


def chart_text(metre: str) -> str:
    return f"tempo: 132\nmetre: {metre}\n|: {' | '.join(ROW)} :| x2"


def test_bars_with_a_beat_too_many_are_one_finding_and_nothing_was_begun_again() -> None:
    strokes = strum(ROW * 2, pattern=range(4), beat_s=60.0 / 132.0, n_beats=4)
    check = assess(perform(strokes), parse_chart(chart_text("3/4")))
    assert [(one.kind, one.measure) for one in check.findings] == [("metre", OtherMetre(4, 3))]
    assert {bar.state for bar in check.bars} == {"right"}
    assert check.praise == (GuitarInTune(),)  # neither bars that are none of those that were set, nor their changes


def test_a_waltz_in_three_has_the_beats_that_were_set() -> None:
    strokes = strum(ROW * 2, pattern=range(3), beat_s=60.0 / 132.0, n_beats=3)
    assert assess(perform(strokes), parse_chart(chart_text("3/4"))).findings == ()


def test_who_begins_again_twice_played_the_bars_that_were_set() -> None:
    whole = ROW * 2
    strokes = strum((*whole[:3], *whole[:6], *whole), pattern=range(4), beat_s=60.0 / 132.0)
    check = assess(perform(strokes), parse_chart(chart_text("4/4")))
    assert [(one.kind, one.bar) for one in check.findings] == [("repeated", 1)] * 2
