"""What is asked when: new steps open, due kinds come first, and the scheduler is the published one."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from fsrs import Card, Rating, Scheduler

from listen.document import KindState
from listen.practice import LADDER, Staircase, choose_kind, find_open_kinds, next_state, rate_answer

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)


def test_a_step_opens_when_the_one_below_holds() -> None:
    held = {"same bass": Staircase(5.0, 20)}
    assert find_open_kinds(held) == ("same bass", "root or not")
    assert find_open_kinds({"same bass": Staircase(5.0, 3)}) == ("same bass",)


def test_an_open_step_stays_open_when_the_one_below_slips() -> None:
    assert "root or not" in find_open_kinds({"same bass": Staircase(1.0, 30), "root or not": Staircase(3.0, 5)})


def test_a_new_step_is_asked_at_once_and_then_what_is_due() -> None:
    states = {"same bass": next_state(KindState("same bass", 5.0, 20), "same bass", right=True, took_s=6, now=NOW)}
    assert choose_kind(states, now=NOW) == "root or not"
    states["root or not"] = next_state(None, "root or not", right=True, took_s=6.0, now=NOW + timedelta(minutes=30))
    assert choose_kind(states, now=NOW + timedelta(hours=1)) == "same bass"


def test_only_what_is_asked_for_is_asked() -> None:
    assert choose_kind({}, now=NOW, only=("quality",)) == "quality"


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
