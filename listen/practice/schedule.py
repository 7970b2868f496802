"""Which kind of question comes next, and what the answers so far say of it.

When a kind is due again is decided by a published scheduler, FSRS (the ``fsrs`` package). It is told of one review a
kind and day, for its intervals are days: how the day went is seen from the share of right answers and how long they
took, and is never asked. A day of fewer answers than :data:`ENOUGH` says too little and counts with the next one.
Kinds that are due are asked first, so often that their day says enough; only then all in turn, the soonest due first.
How hard the question is, the staircase decides.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import groupby
from math import sqrt
from statistics import median
from typing import TYPE_CHECKING

from listen.document import Answered
from listen.practice.ladder import LADDER
from listen.practice.staircase import TARGET, Staircase

if TYPE_CHECKING:
    from fsrs import Card, Rating

QUICK_S, SLOW_S = 4.0, 15.0
"""From the end of the sound to the answer. Judged, not measured: a heard bass is named at once, a reckoned one late."""
POOR = TARGET - 0.25  # share of right answers of a day on which a kind was as good as forgotten; judged
TURN = 3  # questions of a kind in a sitting before the next one has its turn; judged
ENOUGH = 2 * TURN  # answers that say how a day went: of players at the target nine in ten have a good one (binomial)
NEVER = datetime(1970, 1, 2, tzinfo=UTC)  # before any answer, and a time in every zone


@dataclass(frozen=True, slots=True)
class KindTurns:
    """How some kinds take turns through a day: those that are due before the others, then all.

    Parameters
    ----------
    day : date
        On the player's own clock.
    n_asked : mapping of str to int
        How often each was asked on that day; those that were not may lack.
    due : mapping of str to datetime, aware
        When each kind that may be asked was due as the day began; at least one.
    """

    day: date
    n_asked: Mapping[str, int]
    due: Mapping[str, datetime]

    @property
    def next_kind(self) -> str:
        """Which kind is asked next."""
        return min(self.due, key=self._find_place)

    def _find_place(self, kind: str) -> tuple[int, datetime, int]:
        """Order by turns, of which a kind that is due has some before the first of another."""
        due = self.due[kind]
        n_first = ENOUGH if due.astimezone().date() <= self.day else 0
        return (self.n_asked.get(kind, 0) - n_first) // TURN, due, LADDER.index(kind)

    def after(self, kind: str) -> KindTurns:
        """Return the turns after one more question of a kind, before it is answered."""
        return KindTurns(self.day, {**self.n_asked, kind: self.n_asked.get(kind, 0) + 1}, self.due)


def find_turns(answers: Sequence[Answered], kinds: Iterable[str], *, now: datetime) -> KindTurns:
    """Find how some kinds take turns after the answers so far.

    Parameters
    ----------
    answers : sequence of Answered
        All so far, in their order.
    kinds : iterable of str
        That may be asked; at least one.
    now : datetime, aware
    """
    day = now.astimezone().date()
    n_asked = Counter(answer.kind for answer in answers if answer.day == day)
    before = [answer for answer in answers if answer.day < day]  # none of a clock that was ahead
    cards = {kind: schedule_kind(before, kind) for kind in kinds}
    return KindTurns(day, n_asked, {kind: NEVER if card is None else card.due for kind, card in cards.items()})


def schedule_kind(answers: Iterable[Answered], kind: str) -> Card | None:
    """Return the scheduler's card of a kind, one review a day; None where its own level was asked too little."""
    from fsrs import Card, Scheduler  # imported where it is used: other commands start without it

    scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)  # its steps are minutes
    card, given = None, list[Answered]()
    for _, group in groupby((one for one in answers if one.kind == kind and one.own_level), key=_day):
        given += group
        if len(given) < ENOUGH:
            continue
        card = card or Card(card_id=1 + LADDER.index(kind), due=given[0].time)
        card, _ = scheduler.review_card(card, rate_day(given), given[-1].time)
        given = []
    return card


def _day(answer: Answered) -> date:
    return answer.day


def rate_day(given: Sequence[Answered]) -> Rating:
    """Rate a day's answers of one kind by what can be seen of them.

    The staircase makes one in five wrong on purpose, so a day at its target is a good one, and one below it by no more
    than chance: a standard deviation of the binomial distribution.
    """
    from fsrs import Rating

    share = sum(answer.is_right for answer in given) / len(given)
    by_chance = sqrt(TARGET * (1.0 - TARGET) / len(given))
    if share < POOR:
        return Rating.Again
    measured = [answer.took_s for answer in given if answer.took_s > 0.0]
    took_s = median(measured) if measured else None
    if share < TARGET - by_chance or (took_s is not None and took_s > SLOW_S):
        return Rating.Hard
    return Rating.Easy if share == 1.0 and took_s is not None and took_s <= QUICK_S else Rating.Good


def find_staircases(answers: Iterable[Answered]) -> dict[str, Staircase]:
    """Return where a player stands with each kind that was asked at the player's own level."""
    stairs: dict[str, Staircase] = {}
    for answer in answers:
        if answer.own_level:
            stairs[answer.kind] = stairs.get(answer.kind, Staircase()).answered(right=answer.is_right)
    return stairs
