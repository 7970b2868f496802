"""What is asked when: new steps open, due kinds come first, and the scheduler is the published one."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from fsrs import Card, Rating, Scheduler

from listen.document import KindState
from listen.practice import LADDER, choose_kind, find_open_kinds, next_state, rate_answer
from listen.practice.ladder import HOLDS_ANSWERS

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)


def _answers(kind: str, *, right: int = 0, wrong: int = 0) -> list[tuple[str, bool]]:
    return [(kind, True)] * right + [(kind, False)] * wrong


def test_a_step_opens_when_the_one_below_holds() -> None:
    assert find_open_kinds(_answers("same bass", right=HOLDS_ANSWERS)) == ("same bass", "root or not")
    assert find_open_kinds(_answers("same bass", right=HOLDS_ANSWERS - 1)) == ("same bass",)
    assert find_open_kinds(_answers("same bass", wrong=HOLDS_ANSWERS)) == ("same bass",)


def test_a_step_that_was_only_asked_by_choice_stays_as_it_was() -> None:
    once = [answer for kind in LADDER for answer in _answers(kind, right=1)]
    assert find_open_kinds(once) == ("same bass",)
    assert find_open_kinds(once + _answers("same bass", right=HOLDS_ANSWERS)) == ("same bass", "root or not")


def test_a_step_that_once_held_stays_open_and_keeps_the_next_one_open() -> None:
    slipped = _answers("same bass", right=HOLDS_ANSWERS, wrong=20)
    assert find_open_kinds(slipped) == ("same bass", "root or not")
    by_choice = _answers("quality", right=HOLDS_ANSWERS, wrong=20)
    assert find_open_kinds(by_choice) == ("same bass", "quality", "other place")


def test_a_new_step_is_asked_at_once_and_then_what_is_due() -> None:
    states = {"same bass": next_state(KindState("same bass", 5.0, 20), "same bass", right=True, took_s=6, now=NOW)}
    opened = ("same bass", "root or not")
    assert choose_kind(states, opened, now=NOW) == "root or not"
    states["root or not"] = next_state(None, "root or not", right=True, took_s=6.0, now=NOW + timedelta(minutes=30))
    assert choose_kind(states, opened, now=NOW + timedelta(hours=1)) == "same bass"


def test_the_schedule_is_that_of_the_published_scheduler() -> None:
    """Outside check: the states after right, wrong and slow answers equal those of the ``fsrs`` package itself."""
    card, state, now = Card(card_id=1, due=NOW), None, NOW
    scheduler = Scheduler(enable_fuzzing=False)
    for right, took_s in ((True, 6.0), (False, 3.0), (True, 30.0), (True, 2.0)):
        card, _ = scheduler.review_card(card, rate_answer(right=right, took_s=took_s), now)
        state = next_state(state, LADDER[0], right=right, took_s=took_s, now=now)
        assert Card.from_json(state.card).due == card.due
        assert Card.from_json(state.card).stability == card.stability
        now += timedelta(days=1)


def test_an_answer_is_rated_by_what_can_be_seen() -> None:
    assert rate_answer(right=False, took_s=1.0) is Rating.Again
    assert rate_answer(right=True, took_s=1.0) is Rating.Easy
    assert rate_answer(right=True, took_s=8.0) is Rating.Good
    assert rate_answer(right=True, took_s=40.0) is Rating.Hard
