"""Whether bars are said to have other beats than were set: where they have, and nowhere else."""

from __future__ import annotations

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import GuitarInTune, OtherMetre, TempoFrom
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


def test_a_tempo_that_is_taken_a_bar_late_is_told_beside_bars_with_a_beat_too_many() -> None:
    row = ("C", "Am", "F", "G") * 4
    first, then = (
        strum(part, pattern=range(4), beat_s=60.0 / bpm, n_beats=4) for part, bpm in ((row[:9], 96), (row[9:], 120))
    )
    strokes = [*first, *((9 * 4 * 60.0 / 96 + time_s, name) for time_s, name in then)]
    chart = f"tempo: 96\nmetre: 3/4\n| {' | '.join(row[:8])} | tempo=120 {' | '.join(row[8:])} |"
    found = assess(perform(strokes), parse_chart(chart)).findings
    assert [(one.bar, one.measure) for one in found] == [(1, OtherMetre(4, 3)), (9, TempoFrom(10))]
