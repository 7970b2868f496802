"""What a report of a check says of the file that was checked."""

from __future__ import annotations

import pytest

from listen.document import parse_chart
from listen.export import render_check_page, render_check_text
from listen.export.homework_view import render_student_fragment
from listen.reading import BarOutcome, Check, Finding, StoppedAt

SET = parse_chart("tempo: 96\n| C | G | Am | F |")
OTHER = "Its sound is faint."


@pytest.mark.parametrize(
    "cut",
    ["The file breaks off early: 18.5 s of it could be read.", "The file breaks off early: 4.0 s of it are there."],
)
def test_a_student_is_told_once_that_the_file_is_damaged(cut: str) -> None:
    bars = tuple(BarOutcome(bar, "right" if bar < 3 else "not judged", name) for bar, name in enumerate("CGAF", 1))
    stopped = Finding("stopped", 2, 1.0, 4.5, measure=StoppedAt(4, breaks_off=True))
    check = Check("Mo", "Mo.flac", bars=bars, findings=(stopped,), warnings=(cut, OTHER))
    for render in (
        render_check_text,
        lambda one: render_check_page(one, SET),
        lambda one: render_student_fragment(one, SET),
    ):
        text = render(check)
        assert "The recording breaks off after bar 2 of 4: the file is damaged." in text
        assert cut not in text
        assert OTHER in text
    whole = Check("Mo", "Mo.flac", bars=bars, warnings=(cut,))
    assert cut in render_check_text(whole)  # the piece ends before the file breaks off
