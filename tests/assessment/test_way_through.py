"""What is said of the way through a piece, from jumps written by hand."""

from __future__ import annotations

import numpy as np

from listen.assessment import lay_out_score
from listen.assessment.assess import _judge_way_through
from listen.assessment.placing import Jump, Placed, StrokeRun
from listen.document import parse_chart


def test_a_bar_that_two_jumps_pass_is_left_out_once() -> None:
    score = lay_out_score(parse_chart("tempo: 60\n| C | G | Am | F | C | G |"))
    run = StrokeRun((0, 1), np.array([0.0, 20.0]), np.array([0.0, 20.0]), 1.0)
    jumps = (Jump("left out", 1, 4, 4.0), Jump("restart", 0, 0, 8.0), Jump("left out", 1, 4, 12.0))
    placed = Placed((run,), jumps, {0: 0, 4: 0, 5: 0})
    found = [one.finding for one in _judge_way_through(placed, score)]
    assert [one.bar for one in found if one.kind == "left out"] == [2, 3, 4]
