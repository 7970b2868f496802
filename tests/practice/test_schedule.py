"""What is asked when: new steps open, kinds take turns, due ones come first, and the scheduler is the published one."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from fsrs import Card, Rating, Scheduler

from listen.document import Answered
from listen.practice import (
    LADDER,
    Staircase,
    find_open_kinds,
    find_staircases,
    find_turns,
    rate_day,
    schedule_kind,
)
from listen.practice.ladder import HOLDS_ANSWERS

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)


def _answers(kind: str, *, right: int = 0, wrong: int = 0) -> list[tuple[str, bool]]:
    return [(kind, True)] * right + [(kind, False)] * wrong


def _given(
    kind: str, rights: Sequence[bool] = (True,), *, now: datetime = NOW, took_s: float = 6.0, own_level: bool = True
) -> list[Answered]:
    return [
        Answered((now + timedelta(seconds=15 * n)).isoformat(), kind, 2.0, "s", "s" if right else "o", right, took_s,
                 own_level=own_level)
        for n, right in enumerate(rights)
    ]  # fmt: skip


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
    opened = ("same bass", "root or not")
    answers = _given("same bass")
    assert find_turns(answers, opened, now=NOW).next_kind == "root or not"
    answers += _given("root or not", now=NOW + timedelta(minutes=30))
    assert find_turns(answers, opened, now=NOW + timedelta(days=5)).next_kind == "same bass"


def test_every_open_step_comes_up_through_weeks_of_practice() -> None:
    """A learner who hears most things and one in two inversions: no step takes the sittings over."""
    rng, answers, today = random.Random(3), list[Answered](), Counter[str]()
    opened: tuple[str, ...] = ()
    for day in range(14):
        now, today = NOW + timedelta(days=day), Counter()
        for _ in range(30):
            opened = find_open_kinds((one.kind, one.is_right) for one in answers)
            kind = find_turns(answers, opened, now=now).next_kind
            level = find_staircases(answers).get(kind, Staircase()).level
            knows = 0.67 if kind == "which bass" else 0.95 if level < 7.0 else 0.7
            answers += _given(kind, [rng.random() < knows], now=now)
            today[kind] += 1
            now += timedelta(seconds=15)
        assert set(opened) <= set(today), (day, today)
    assert "which bass" in opened
    assert max(today.values()) - min(today.values()) <= 3, today


def test_one_sitting_is_one_review() -> None:
    """Thirty right answers of a day tell the scheduler what three do: an interval is days, not a year."""
    few, many = (schedule_kind(_given("same bass", [True] * n), "same bass") for n in (3, 30))
    assert few is not None
    assert many is not None
    assert few.stability == many.stability
    assert (many.due - NOW).days < 30


def test_a_clock_that_was_once_ahead_silences_no_kind() -> None:
    ahead = _given("which bass", now=NOW + timedelta(days=365))
    behind = _given("same bass", now=NOW - timedelta(days=1))
    assert find_turns([*behind, *ahead], ("same bass", "which bass"), now=NOW).next_kind == "which bass"


def test_what_was_not_asked_at_the_players_own_level_moves_nothing_but_has_had_its_turn() -> None:
    given = _given("same bass", [True] * 12, own_level=False)
    assert find_staircases(given) == {}
    assert schedule_kind(given, "same bass") is None
    assert find_turns(given, ("same bass", "quality"), now=NOW + timedelta(minutes=5)).next_kind == "quality"


def test_the_schedule_is_that_of_the_published_scheduler() -> None:
    """Outside check: the cards after right, wrong and slow days equal those of the ``fsrs`` package itself."""
    card, now, answers = Card(card_id=1, due=NOW), NOW, list[Answered]()
    scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
    for rating, rights, took_s in (
        (Rating.Good, [True], 6.0), (Rating.Again, [False, True], 3.0), (Rating.Hard, [True], 30.0),
        (Rating.Easy, [True, True], 2.0),
    ):  # fmt: skip
        answers += _given("same bass", rights, now=now, took_s=took_s)
        card, _ = scheduler.review_card(card, rating, answers[-1].time)
        found = schedule_kind(answers, "same bass")
        assert found is not None
        assert (found.due, found.stability) == (card.due, card.stability)
        now += timedelta(days=1)


def test_a_day_is_rated_by_its_share_of_right_answers_against_the_staircases_target() -> None:
    for rights, took_s, rating in (
        ([True] * 4 + [False], 1.0, Rating.Good),  # what the staircase aims at
        ([True] * 5, 1.0, Rating.Easy),
        ([True] * 5, 8.0, Rating.Good),
        ([True] * 5, 0.0, Rating.Good),  # answered before the sound had ended: not quick, but unknown
        ([True] * 5, 40.0, Rating.Hard),
        ([True, True, False], 1.0, Rating.Hard),
        ([True, False], 1.0, Rating.Again),
    ):
        assert rate_day(_given("same bass", rights, took_s=took_s)) is rating, (rights, took_s)
