"""Bars are left out only where no reading has them played with one of them wrong."""

from __future__ import annotations

from listen.assessment import assess
from listen.document import parse_chart
from tests.hand_made_performances import perform, strum

SET = ("C", "Am", "Em", "G", "Dm", "F", "Am", "G", "C", "Am", "F", "G", "Dm", "F", "C", "C")
CHART = f"tempo: 100\n| {' | '.join(SET)} |"


def kinds_of(strokes: list[tuple[float, str]]) -> set[tuple[str, int]]:
    return {(one.kind, one.bar) for one in assess(perform(strokes), parse_chart(CHART)).findings}


def test_a_bar_that_is_always_another_chord_leaves_out_no_others() -> None:
    played = (*SET[:2], "F", *SET[3:])
    again = [(time_s + 5 * 2.4 + 1.5, name) for time_s, name in strum(played)]
    assert kinds_of([*strum(played[:5]), *again]) == {("chord", 3), ("restart", 1)}


def test_a_bar_that_was_left_out_is_still_said() -> None:
    assert kinds_of(strum((*SET[:2], *SET[3:]))) == {("left out", 3)}
    assert kinds_of(strum(SET[4:])) == {("left out", bar) for bar in (1, 2, 3, 4)}
