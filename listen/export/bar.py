"""A bar of a part: what holds in it from where on, and where its strokes fall.

Conventions: steps count from the bar line, :data:`~listen.reading.STEPS_PER_BEAT` to a beat. A part in free time has
no bars of its own: it is laid out in *stretches*, one for each chord, rest or unread place.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from listen.reading import STEPS_PER_BEAT, ChordSpan, Event, GridPosition, Metre, Part, Stroke

ChangeKind = Literal["chord", "none", "unread"]


@dataclass(frozen=True, slots=True)
class Change:
    """What begins to hold at a place.

    Parameters
    ----------
    step : int
        From the bar line.
    kind : "chord", "none" or "unread"
    time_s : float
    span : ChordSpan or None
        The chord; None for the other kinds.
    """

    step: int
    kind: ChangeKind
    time_s: float
    span: ChordSpan | None = None

    @property
    def is_pushed(self) -> bool:
        """Whether it comes before its beat."""
        return self.span is not None and "pushed" in self.span.marks

    @property
    def is_passing(self) -> bool:
        """Whether it is no chord of its own."""
        return self.span is not None and "passing" in self.span.marks


@dataclass(frozen=True, slots=True)
class PlacedStroke:
    """A stroke and its place in a bar.

    Parameters
    ----------
    step : int
        From the bar line.
    end : int
        Where the next stroke, a rest or an unread stretch begins, from the same bar line.
    stroke : Stroke
    event : Event
        It belongs to.
    """

    step: int
    end: int
    stroke: Stroke
    event: Event


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar, or one stretch of free time.

    Parameters
    ----------
    number : int
        1 is the first full bar, or where bar one was told to begin; a pickup comes before it. Stretches count from 1.
    start_s, end_s : float
    n_steps : int
    held : Change or None
        What holds at the bar line: from a bar before, or beginning here. None at the start of a part.
    changes : tuple of Change
        In time order.
    strokes : tuple of PlacedStroke
        In time order.
    is_measured : bool
    left_out : int
        Beats that are counted and were not played, where a hand came off the count.
    before : int
        Steps of its whole bar that come before a pickup; 0 for other bars.
    """

    number: int
    start_s: float
    end_s: float
    n_steps: int
    held: Change | None
    changes: tuple[Change, ...]
    strokes: tuple[PlacedStroke, ...]
    is_measured: bool = True
    left_out: int = 0
    before: int = 0

    @property
    def phase(self) -> int:
        """How many steps come before its first beat: a pickup's beats are counted back from its end."""
        return self.n_steps % STEPS_PER_BEAT if self.is_measured else 0

    @property
    def lead(self) -> int:
        """How many steps of its first beat are left out: 0 unless a pickup begins inside a beat."""
        return (-self.n_steps) % STEPS_PER_BEAT if self.is_measured else 0

    @property
    def n_beats(self) -> int:
        """How many beats it has, a broken one counted whole."""
        return -(-self.n_steps // STEPS_PER_BEAT)


def has_pickup(part: Part) -> bool:
    """Whether a part begins with a pickup: a short bar before bar one. A short bar one or later begins with a rest."""
    metre = find_metre(part)
    return metre is not None and metre.pickup_steps > 0 and part.bars.first_bar < 1


def find_bar_metre(bar: Bar, metre: Metre) -> Metre:
    """Return the metre of one bar: the part's, or with as many beats as a bar of another length has."""
    return metre if bar.before or not bar.is_measured else replace(metre, beats_per_bar=bar.n_beats, pickup_steps=0)


def find_meant_bar(part: Part, at: GridPosition, *, is_pushed: bool) -> int:
    """Return the bar that a chord belongs to: one that comes early, over a bar line, to the next, if there is one."""
    is_over = at.step - at.step % STEPS_PER_BEAT + STEPS_PER_BEAT >= part.bars.count_beats(at.bar) * STEPS_PER_BEAT
    is_last = at.bar + 1 >= part.bars.first_bar + len(part.bars.lines_s) - 1
    return at.bar + 1 if is_pushed and is_over and not is_last else at.bar


def find_metre(part: Part) -> Metre | None:
    """Return the metre that the bars are made of; None in free time, and where there are no bars."""
    return part.bars.metre if len(part.bars.lines_s) > 1 else None
