"""What is asked when: new steps open, kinds take turns, due ones come first, and the scheduler is the published one."""

from __future__ import annotations

import random
import time
from collections import Counter
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from math import comb

import pytest
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
from listen.practice.schedule import ENOUGH, TURN, KindTurns

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


def _ask(turns: KindTurns, n_questions: int) -> list[str]:
    asked: list[str] = []
    for _ in range(n_questions):
        asked.append(turns.next_kind)
        turns = turns.after(asked[-1])
    return asked


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
    answers = _given("same bass", [True] * HOLDS_ANSWERS)
    assert find_turns(answers, opened, now=NOW).next_kind == "root or not"
    answers += _given("root or not", [True] * HOLDS_ANSWERS, now=NOW + timedelta(minutes=30))
    assert find_turns(answers, opened, now=NOW + timedelta(days=30)).next_kind == "same bass"


def test_a_kind_that_is_not_due_waits_until_those_that_are_were_asked_enough() -> None:
    """What is mastered rests while a kind that slips has its turns; only the time that is left goes round both."""
    answers: list[Answered] = []
    for day in range(10):
        now = NOW + timedelta(days=day)
        answers += _given("same bass", [True] * 6, now=now, took_s=2.0)
        answers += _given("root or not", [True, False] * 3, now=now + timedelta(minutes=5))
    asked = _ask(find_turns(answers, ("same bass", "root or not"), now=NOW + timedelta(days=11)), ENOUGH + 2 * TURN)
    assert asked == ["root or not"] * (ENOUGH + TURN) + ["same bass"] * TURN
    assert find_turns(answers, ("same bass",), now=NOW + timedelta(days=11)).next_kind == "same bass"  # none is due


def test_a_kind_is_due_on_its_day_whatever_the_hour() -> None:
    answers = _given("root or not", [True] * 6, took_s=2.0)
    card = schedule_kind(answers, "root or not")
    assert card is not None
    answers += _given("same bass", [True] * 6, now=NOW + timedelta(days=1), took_s=2.0)
    early = card.due.astimezone().replace(hour=0, minute=1)
    opened = ("same bass", "root or not")
    assert _ask(find_turns(answers, opened, now=early), 12) == ["root or not"] * 9 + ["same bass"] * 3
    before = find_turns(answers, opened, now=early - timedelta(minutes=2))  # none is due: all, the soonest first
    assert _ask(before, 12) == ["root or not", "root or not", "root or not", "same bass", "same bass", "same bass"] * 2


def test_a_new_kind_is_due_west_of_greenwich_too(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patched:
        patched.setenv("TZ", "EST5")
        time.tzset()
        asked = _ask(find_turns([], LADDER[:2], now=NOW), 4)
    time.tzset()
    assert asked == ["same bass"] * 3 + ["root or not"]


def test_days_of_few_answers_count_together() -> None:
    days = [_given("same bass", [True] * 3, now=NOW + timedelta(days=day)) for day in range(2)]
    assert schedule_kind(days[0], "same bass") is None
    card = schedule_kind([*days[0], *days[1]], "same bass")
    assert card is not None
    assert card.last_review == days[1][-1].time


def test_a_player_at_the_target_has_good_days() -> None:
    """By the binomial distribution: of the days of six answers, four in five of them right, nine in ten."""
    good = sum(
        comb(6, right) * 0.8**right * 0.2 ** (6 - right)
        for right in range(7)
        if rate_day(_given("same bass", [True] * right + [False] * (6 - right))) is Rating.Good
    )
    assert good == pytest.approx(0.9, abs=0.01)


def test_every_step_that_is_due_comes_up_through_weeks_of_practice() -> None:
    """A learner who hears most things and two in three bass lines: no step takes the sittings over, and some rest."""
    rng, answers, today = random.Random(3), list[Answered](), Counter[str]()
    opened: tuple[str, ...] = ()
    n_rests = 0
    for day in range(21):
        now, today = NOW + timedelta(days=day), Counter()
        due = {kind for kind in opened if (card := schedule_kind(answers, kind)) is None or card.due <= now}
        for _ in range(30):
            opened = find_open_kinds((one.kind, one.is_right) for one in answers)
            kind = find_turns(answers, opened, now=now).next_kind
            level = find_staircases(answers).get(kind, Staircase()).level
            knows = 0.67 if kind == "bass line" else 0.95 if level < 7.0 else 0.7
            answers += _given(kind, [rng.random() < knows], now=now)
            today[kind] += 1
            now += timedelta(seconds=15)
        assert due <= set(today), (day, today)
        assert len(opened) < 4 or max(today.values()) <= 15, today
        n_rests += sum(today[kind] == 0 for kind in opened)
    assert "bass line" in opened
    assert n_rests > 0


def test_one_sitting_is_one_review() -> None:
    """Thirty right answers of a day tell the scheduler what three do: an interval is days, not a year."""
    few, many = (schedule_kind(_given("same bass", [True] * n), "same bass") for n in (6, 30))
    assert few is not None
    assert many is not None
    assert few.stability == many.stability
    assert (many.due - NOW).days < 30


def test_a_clock_that_was_once_ahead_silences_no_kind() -> None:
    ahead = _given("which bass", now=NOW + timedelta(days=365))
    behind = _given("same bass", [True] * 6, now=NOW - timedelta(days=1))
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
        (Rating.Good, [True] * 6, 6.0), (Rating.Again, [False, True] * 3, 3.0), (Rating.Hard, [True] * 6, 30.0),
        (Rating.Easy, [True] * 7, 2.0),
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
        ([True] * 4 + [False] * 2, 6.0, Rating.Good),  # one less than that of so few is chance
        ([True] * 7 + [False] * 4, 1.0, Rating.Hard),
        ([True, False] * 3, 1.0, Rating.Again),
    ):
        assert rate_day(_given("same bass", rights, took_s=took_s)) is rating, (rights, took_s)
