"""Which kind of question comes next, and what an answer changes.

When a kind is due again is decided by a published scheduler, FSRS (the ``fsrs`` package): how well an answer went is
told by whether it was right and how long it took, and is never asked. How hard the question is, the staircase decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from listen.document import KindState
from listen.practice.ladder import LADDER
from listen.practice.staircase import FIRST_LEVEL, Staircase

if TYPE_CHECKING:
    from fsrs import Rating

QUICK_S, SLOW_S = 4.0, 15.0
"""From the end of the sound to the answer. Judged, not measured: a heard bass is named at once, a reckoned one late."""


def choose_kind(states: Mapping[str, KindState], kinds: Sequence[str], *, now: datetime) -> str:
    """Choose which of some kinds to ask next: the one that has been due for longest; one never asked comes first.

    Parameters
    ----------
    states : mapping of str to KindState
    kinds : sequence of str
        That may be asked, in the order of the ladder; at least one.
    now : datetime, aware
    """
    fresh = [kind for kind in kinds if kind not in states]
    if fresh:
        return fresh[0]
    return min(kinds, key=lambda kind: (_due(states[kind], now), LADDER.index(kind)))


def _due(state: KindState, now: datetime) -> datetime:
    from fsrs import Card  # imported where it is used: other commands start without it

    return Card.from_json(state.card).due if state.card else now


def rate_answer(*, right: bool, took_s: float) -> Rating:
    """Rate an answer by what can be seen of it."""
    from fsrs import Rating

    if not right:
        return Rating.Again
    return Rating.Easy if took_s <= QUICK_S else Rating.Hard if took_s > SLOW_S else Rating.Good


def next_state(state: KindState | None, kind: str, *, right: bool, took_s: float, now: datetime) -> KindState:
    """Return where a player stands with a kind after one more answer.

    Parameters
    ----------
    state : KindState or None
        Before it; None when the kind was never asked.
    kind : str
    right : bool
    took_s : float
    now : datetime, aware
    """
    from fsrs import Card, Scheduler

    before = state or KindState(kind, FIRST_LEVEL, 0)
    stairs = Staircase(before.level, before.n_answers).answered(right=right)
    card = Card.from_json(before.card) if before.card else Card(card_id=1 + LADDER.index(kind), due=now)
    scheduler = Scheduler(enable_fuzzing=False)
    card, _ = scheduler.review_card(card, rate_answer(right=right, took_s=took_s), now.astimezone(UTC))
    return KindState(kind, stairs.level, stairs.n_answers, card.to_json())
