"""What was taken for another comes back, and which of the two is right stays even."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime, timedelta
from math import sqrt

import pytest

from listen.document import Answered
from listen.practice import Question, draw_question
from listen.practice.missed import LOOKED_BACK
from listen.request import Asked, ask_next

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
N = 160


def _given(kind: str, *pairs: tuple[str, str]) -> list[Answered]:
    return [
        Answered((NOW + timedelta(seconds=n)).isoformat(), kind, 5.0, played, said, played == said, 6.0)
        for n, (played, said) in enumerate(pairs)
    ]


def _ask(kind: str, answers: list[Answered], n: int = N) -> list[Question]:
    asked = Asked((kind,), level=6.0)
    return [ask_next(asked, answers, now=NOW + timedelta(days=1), seed=1000 * seed) for seed in range(n)]


def _share(questions: list[Question], keys: set[str]) -> float:
    return sum(one.answer in keys for one in questions) / len(questions)


@pytest.mark.parametrize(("kind", "chance"), [("which bass", 2 / 3), ("which bass of four", 1 / 2)])
def test_two_tones_that_were_taken_for_each_other_come_back(kind: str, chance: float) -> None:
    questions = _ask(kind, _given(kind, ("1", "1"), ("3", "5")))
    expected = 0.5 + 0.5 * chance
    assert _share(questions, {"3", "5"}) == pytest.approx(expected, abs=3.3 * sqrt(expected * (1 - expected) / N))
    assert _share(questions, {"3", "5"}) > chance + 0.08
    counts = Counter(one.answer for one in questions)
    assert abs(counts["3"] - counts["5"]) < 3.3 * sqrt(counts["3"] + counts["5"]), "which of them tells nothing"


def test_what_was_heard_right_since_does_not_come_back() -> None:
    kind = "which bass"
    old = _given(kind, ("3", "5"), *[("1", "1")] * LOOKED_BACK)
    assert _share(_ask(kind, old), {"3", "5"}) == pytest.approx(2 / 3, abs=3.3 * sqrt(2 / 9 / N))


def test_two_kinds_of_chord_that_were_taken_for_each_other_are_both_offered_again() -> None:
    questions = _ask("quality", _given("quality", ("m7", "maj7")), 60)
    both = [one for one in questions if one.option("m7") and one.option("maj7")]
    assert len(both) > 30
    assert _share(questions, {"m7", "maj7"}) > 0.4
    assert {one.answer for one in questions if one.answer in {"m7", "maj7"}} == {"m7", "maj7"}
    easy = [draw_question("quality", level=0.0, seed=seed, among=("m7", "maj7")) for seed in range(6)]
    assert {one.answer for one in easy} == {"maj", "m"}, "what is not asked at a level is left out"


def test_a_miss_of_another_kind_and_an_answer_that_was_none_of_the_list_change_nothing() -> None:
    before = [one.answer for one in _ask("which bass", [], 30)]
    for answers in (_given("which bass of four", ("3", "5")), _given("which bass", ("3", ""))):
        assert [one.answer for one in _ask("which bass", answers, 30)] == before
