"""The pattern of a part stands in its charts where enough of the bars have it, in the same words everywhere."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.export.chart import ChartView, render_chart
from listen.export.part_sheet import render_part_fragment
from listen.export.set_chart import part_to_assignment
from tests.hand_made_parts import straight_part


@pytest.mark.parametrize(("share", "is_shown"), [(0.39, False), (0.41, True)])
def test_a_pattern_that_few_bars_have_stands_in_no_chart(share: float, *, is_shown: bool) -> None:
    part = straight_part()
    assert part.pattern is not None
    part = replace(part, pattern=replace(part.pattern, share=share))
    said = f"Pattern, the rhythm of 6 of {round(6 / share)} bars: "
    assert (said in render_chart(part)) == is_shown
    assert (said in render_part_fragment(part)) == is_shown
    assert bool(part_to_assignment(part).pattern) == is_shown
    full = " ".join(render_chart(part, view=ChartView("full")).split())
    assert ("names alone: the pattern" in full) == is_shown
