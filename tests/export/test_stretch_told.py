"""The head of a chart says which stretch of a recording was asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import TimeSpan
from listen.export.chart import render_chart
from tests.hand_made_parts import free_part, straight_part


@pytest.mark.parametrize(
    ("start_s", "end_s", "told"),
    [
        (0.4, 20.5, "read from 0:00.4 on, bars counted from there"),
        (10.0, 18.0, "read from 0:10 to 0:18, bars counted from 0:10"),
        (0.0, 12.34, "read to 0:12.3"),
        (0.0, 20.5, ""),
    ],
)
def test_a_stretch_is_told_with_its_beginning_and_its_end(start_s: float, end_s: float, told: str) -> None:
    part = straight_part()
    recording = replace(part.recording, span=TimeSpan(start_s, end_s))
    chart = " ".join(render_chart(replace(part, recording=recording)).split())
    assert f"· {told}" in chart
    assert ("read " in chart) == bool(told)
    stopped = render_chart(replace(part, recording=replace(recording, span=TimeSpan(0.0, end_s), complete=False)))
    assert "read to" not in stopped, "the sentence on it stands below"


def test_free_time_has_no_bars_to_be_counted() -> None:
    part = free_part()
    part = replace(part, recording=replace(part.recording, span=TimeSpan(1.0, 5.0)))
    assert "read from 0:01 to 0:05" in render_chart(part)
    assert "counted" not in render_chart(part)
