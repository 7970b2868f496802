"""What is said of the way through a piece, from jumps written by hand."""

from __future__ import annotations

import numpy as np
import pytest

from listen.assessment import assess, lay_out_score
from listen.assessment.assess import _judge_way_through
from listen.assessment.placing import Jump, Placed, StrokeRun, is_filled
from listen.document import parse_chart
from listen.reading import OffBeat
from tests.hand_made_performances import perform, strum


def test_a_bar_that_two_jumps_pass_is_left_out_once() -> None:
    score = lay_out_score(parse_chart("tempo: 60\n| C | G | Am | F | C | G |"))
    run = StrokeRun((0, 1), np.array([0.0, 20.0]), np.array([0.0, 20.0]), 1.0)
    jumps = (Jump("left out", 1, 4, 4.0), Jump("restart", 0, 0, 8.0), Jump("left out", 1, 4, 12.0))
    placed = Placed((run,), jumps, {0: 0, 4: 0, 5: 0})
    found = [one.finding for one in _judge_way_through(placed, score)]
    assert [one.bar for one in found if one.kind == "left out"] == [2, 3, 4]


@pytest.mark.parametrize("chart", ["| C | G |", "tempo: 100\n| C | G |"])
@pytest.mark.parametrize(("row", "ms"), [("C Am G", 2400), ("C Am F G", 4800), ("C Am F Am G", 7200)])
def test_other_chords_between_two_bars_are_no_stop(chart: str, row: str, ms: int) -> None:
    (found,) = assess(perform(strum(row.split())), parse_chart(chart)).findings
    assert (found.kind, found.bar, found.measure) == ("late", 2, OffBeat(ms, is_filled=True))
    assert not found.is_stop


@pytest.mark.parametrize(
    ("tried_s", "goes_on"),
    [((), False), ((2.5,), False), ((0.5, 0.8), False), ((4.5, 4.7, 4.9), False), ((1.0, 2.0, 3.0, 4.0), True)],
)
def test_a_silence_with_a_try_or_two_in_it_is_a_stop(tried_s: tuple[float, ...], goes_on: bool) -> None:
    performance = perform([(time_s, "Em") for time_s in (0.0, *tried_s, 5.0)])
    runs = [StrokeRun((at,), np.array([beat]), np.array([1.0 + beat]), 1.0) for at, beat in ((0, 0.0), (1, 5.0))]
    jumps = (Jump("start", 0, 0, 1.0), Jump("hesitation", 1, 1, 6.0, late_s=4.0))
    assert is_filled(Placed(tuple(runs), jumps, {0: 0, 1: 1}), 1, performance) == goes_on


@pytest.mark.parametrize("row", ["C G Am F C C Am G", "C G Am F C Am G", "C Am G F F C G"])
def test_the_time_through_with_nothing_foreign_in_it_is_judged(row: str) -> None:
    check = assess(perform(strum(row.split())), parse_chart("| C | G |"))
    assert len(check.rounds) == 2
    assert not check.findings
