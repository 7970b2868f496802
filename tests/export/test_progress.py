"""Progress as it is told: days on the player's own clock, breaks, and where the player stands."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from datetime import date, timedelta

import pytest

from listen.document import Answered
from listen.export import TextStyle, render_progress_fragment, render_progress_text

EVENING, AFTER_TEN_DAYS, SAME_NIGHT = (
    "2026-11-01T20:00:00+00:00",
    "2026-11-12T20:00:00+00:00",
    "2026-11-13T02:00:00+00:00",
)

TODAY = date(2026, 11, 13)


@pytest.fixture
def _in_new_york(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    with monkeypatch.context() as patched:
        patched.setenv("TZ", "EST5")
        time.tzset()
        yield
    time.tzset()


def _answer(at: str, *, right: bool = True, level: float = 2.0, own_level: bool = True) -> Answered:
    return Answered(at, "same bass", level, "s", "s" if right else "o", right, 4.0, own_level=own_level)


@pytest.mark.usefixtures("_in_new_york")
def test_a_day_is_one_of_the_players_own_clock_and_a_break_is_seen() -> None:
    answers = [_answer(EVENING), _answer(AFTER_TEN_DAYS), _answer(SAME_NIGHT, right=False)]
    text = "\n".join(render_progress_text(answers, style=TextStyle(), today=TODAY))
    assert "Answers: 3, days: 2" in text
    assert "2026-11-01 to 2026-11-12: share right, a column a day; · a day without practice" in text
    lowest = text.splitlines()[2 + 7]
    assert lowest.split("│")[1].split() == ["█", *"·" * 10, "█"]
    page = render_progress_fragment(answers, today=TODAY)
    assert page.count("<rect") == 2
    assert "2026-11-12: 50 of 100 right in 2 answers; 10 days between without practice" in page
    first, last = (float(part.split("'")[0]) for part in page.split("<rect x='")[1:])
    assert last - first == 11 * 22.0


def test_a_clock_that_was_once_ahead_hides_no_progress() -> None:
    answers = [_answer(EVENING), _answer(AFTER_TEN_DAYS), _answer("2031-05-01T20:00:00+00:00")]
    text = "\n".join(render_progress_text(answers, style=TextStyle(), today=TODAY))
    page = render_progress_fragment(answers, today=TODAY)
    assert "2026-11-01 to 2026-11-1" in text
    assert page.count("<rect") == 2
    for told in (text, page):
        assert "1 answer lies in the future and is not drawn: the clock was ahead." in told
        assert "2031" not in told
    before = date(2026, 10, 1)
    assert "3 answers lie in the future" in render_progress_fragment(answers, today=before)
    assert "3 answers lie in the future" in "\n".join(render_progress_text(answers, style=TextStyle(), today=before))
    assert "future" not in render_progress_fragment(answers[:2], today=TODAY + timedelta(days=30))


def test_days_one_after_the_other_have_no_gap() -> None:
    text = "\n".join(render_progress_text([_answer(EVENING)], style=TextStyle(), today=TODAY))
    assert "2026-11-01: share right" in text.replace("2026-11-01 to ", "")
    assert "without practice" not in text + render_progress_fragment([_answer(EVENING)], today=TODAY)


def test_the_level_is_where_the_player_stands_and_not_what_a_teacher_set() -> None:
    own = _answer(EVENING)
    easy = _answer(AFTER_TEN_DAYS, level=0.0, own_level=False)
    for answers, level in (((own, easy), "2.7"), ((easy,), "–")):
        assert f"level {level:>4}   " in "\n".join(render_progress_text(answers, style=TextStyle()))
        assert f"<td class='num'>{level}</td>" in render_progress_fragment(answers)


def test_inversions_said_are_counted_against_those_that_were_played() -> None:
    """Rows are what was played, columns what was said: twice a third was taken for a fifth."""
    pairs = [("1", "1"), ("3", "5"), ("3", "5"), ("3", "3"), ("5", "5"), ("5", "1")]
    answers = [
        Answered(f"2026-11-01T20:0{at}:00+00:00", "which bass", 2.0, played, said, played == said, 4.0)
        for at, (played, said) in enumerate(pairs)
    ]
    page = render_progress_fragment(answers)
    table = page.split("<caption>Inversion played")[1].split("</table>")[0]
    cells = [re.findall(r"<td class='num'>(.*?)</td>", row) for row in table.split("<tr>")[2:]]
    assert cells == [["1", "·", "·"], ["·", "1", "2"], ["1", "·", "1"]]
