"""A chart with bars of another metre: read, written and refused."""

from __future__ import annotations

import pytest

from listen.document import parse_chart, render_chart_text
from listen.errors import DocumentError


@pytest.mark.parametrize(
    ("head", "row", "written", "beats"),
    [
        ("4/4", "| C | metre=2/4 G | metre: 4/4 C . G . |", "| C | metre=2/4 G | metre=4/4 C . G . |", [4, 2, 4]),
        ("4/4", "| C | metre=3/4 G . D | G | metre=4/4 C |", "| C | metre=3/4 G . D | G | metre=4/4 C |", [4, 3, 3, 4]),
        ("6/8", "| C G | metre=3/8 G | metre=9/8 C G C |", "| C G | metre=3/8 G | metre=9/8 C G C |", [2, 1, 3]),
        ("4/4", "|: C | metre=2/4 G :| x2", "|: metre=4/4 C | metre=2/4 G :| ×2", [4, 2, 4, 2]),
        ("4/4", "tempo: 90\n| C | tempo=120 metre=2/4 G |", "| C | metre=2/4 tempo=120 G |", [4, 2]),
    ],
)
def test_a_bar_may_have_another_metre_which_holds_until_the_next(
    head: str, row: str, written: str, beats: list[int]
) -> None:
    """The metre belongs to each bar: a repeat plays its bars as they stand."""
    chart = parse_chart(f"metre: {head}\n{row}")
    assert [chart.beats_of(bar) for bar in chart.bars] == beats
    assert written in render_chart_text(chart)
    assert parse_chart(render_chart_text(chart)) == chart


@pytest.mark.parametrize(
    ("text", "place", "remedy"),
    [
        ("| C | metre=6/8 G |", "line 1, column 13", "those beats, metre=2/4 for instance"),
        ("metre: 6/8\n| C | metre=3/4 G |", "line 2, column 13", "those beats, metre=9/8 for instance"),
        ("| C | metre=two G |", "line 1, column 13", "write 4/4, 3/4 or 6/8"),
        ("| C | metre= |", "line 1, column 7", "write it after the sign, metre=2/4"),
        ("| C | G metre=2/4 |", "line 1, column 9", "stands before the names of its bar"),
        ("| C | metre=2/4 % |", "line 1, column 17", "of another metre: write the names"),
        ("| C | metre=2/4 G . F . |", "line 1, column 17", "a bar of 2/4 has 2 beats"),
        ("pickup: 1\n| metre=2/4 C | G |", "line 2, column 3", "a pickup has no metre of its own"),
        ("free time\n| C | metre=2/4 G |", "line 2, column 7", "a chart in free time has no metre"),
    ],
)
def test_a_metre_that_no_bar_can_have_is_told_with_its_line_column_and_remedy(
    text: str, place: str, remedy: str
) -> None:
    with pytest.raises(DocumentError) as error:
        parse_chart(text)
    assert place in str(error.value)
    assert remedy in str(error.value)
