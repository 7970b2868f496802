"""Bars are left out only where no reading has them played with one of them wrong."""

from __future__ import annotations

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from tests.hand_made_performances import SWAY, perform, strum

SET = ("C", "Am", "Em", "G", "Dm", "F", "Am", "G", "C", "Am", "F", "G", "Dm", "F", "C", "C")
CHART = f"tempo: 100\n| {' | '.join(SET)} |"


ENDINGS = ("C", "G", "Am", "F", "C", "G", "Am", "G", "C")  # the second time it ends otherwise
EIGHTHS = tuple(0.5 * at for at in range(8))


def kinds_of(strokes: list[tuple[float, str]], chart: str = CHART) -> set[tuple[str, int]]:
    return {(one.kind, one.bar) for one in assess(perform(strokes), parse_chart(chart)).findings}


def test_a_bar_that_is_always_another_chord_leaves_out_no_others() -> None:
    played = (*SET[:2], "F", *SET[3:])
    again = [(time_s + 5 * 2.4 + 1.5, name) for time_s, name in strum(played)]
    assert kinds_of([*strum(played[:5]), *again]) == {("chord", 3), ("restart", 1)}


def test_a_bar_that_was_left_out_is_still_said() -> None:
    assert kinds_of(strum((*SET[:2], *SET[3:]))) == {("left out", 3)}
    assert kinds_of(strum(SET[4:])) == {("left out", bar) for bar in (1, 2, 3, 4)}


@pytest.mark.parametrize("pattern", [SWAY, EIGHTHS, (0.0, 1.0, 2.0, 3.0)])
@pytest.mark.parametrize("tempo", [50, 72, 96, 140])
def test_a_first_ending_played_again_is_a_wrong_bar_and_no_way_back(tempo: int, pattern: tuple[float, ...]) -> None:
    played = strum((*ENDINGS[:7], "F"), pattern=pattern, beat_s=60.0 / tempo)
    played.append((32 * 60.0 / tempo, "C"))  # the last chord, struck once
    assert kinds_of(played, f"tempo: {tempo}\n| {' | '.join(ENDINGS)} |") == {("chord", 8)}


@pytest.mark.parametrize("pattern", [SWAY, EIGHTHS, (0.0, 1.0, 2.0, 3.0)])
@pytest.mark.parametrize("tempo", [50, 72, 96, 140])
def test_a_wrong_last_bar_is_no_way_back(tempo: int, pattern: tuple[float, ...]) -> None:
    row = ENDINGS[:4] * 2
    played = strum((*row[:7], "C"), pattern=pattern, beat_s=60.0 / tempo)
    assert kinds_of(played, f"tempo: {tempo}\n| {' | '.join(row)} |") == {("chord", 8)}


def test_who_goes_back_and_ends_there_is_still_told_so() -> None:
    chart = f"tempo: 100\n| {' | '.join(SET[:8])} |"
    back = [(time_s + 6 * 2.4, name) for time_s, name in strum(SET[2:5])]
    assert kinds_of([*strum(SET[:6]), *back], chart) == {("repeated", 3), ("stopped", 6)}
    paused = [(time_s + 1.5, name) for time_s, name in back[: len(SWAY)]]
    assert kinds_of([*strum(SET[:6]), *paused], chart) == {("restart", 3), ("stopped", 6)}
