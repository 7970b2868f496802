"""A part laid out in bars: where each chord begins and where each stroke falls, for whoever writes it down.

Conventions: steps count from the bar line, :data:`~listen.reading.STEPS_PER_BEAT` to a beat. A part in free time has
no bars of its own: it is laid out in *stretches*, one for each chord, rest or unread place, on a grid of
:data:`FREE_STEPS_PER_S` steps a second, and ``is_measured`` is false.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal

from listen.reading import STEPS_PER_BEAT, ChordSpan, Event, GridPosition, Metre, Part, Stroke

FREE_STEPS_PER_S = 12  # a quarter note a second
FREE_GRID = 3  # free time is written in sixteenths of it
REST_SHARE = 0.5  # a gap between chords shorter than this share of a bar is no N.C.: the chord goes on after the stop

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
        0 a pickup, 1 the first full bar; stretches count from 1.
    start_s, end_s : float
    n_steps : int
    held : Change or None
        What holds at the bar line: from a bar before, or beginning here. None at the start of a part.
    changes : tuple of Change
        In time order.
    strokes : tuple of PlacedStroke
        In time order.
    is_measured : bool
    """

    number: int
    start_s: float
    end_s: float
    n_steps: int
    held: Change | None
    changes: tuple[Change, ...]
    strokes: tuple[PlacedStroke, ...]
    is_measured: bool = True

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


def find_metre(part: Part) -> Metre | None:
    """Return the metre that the bars are made of; None in free time, and where there are no bars."""
    return part.metre if len(part.bars_s) > 1 else None


def find_bars(part: Part, *, settle_pushed: bool = False) -> tuple[Bar, ...]:
    """Lay a part out in bars.

    Parameters
    ----------
    part : Part
    settle_pushed : bool
        Whether a pushed change is put on the beat that it comes before.
    """
    metre = find_metre(part)
    if metre is None:
        return _free_stretches(part)
    grid = _Grid(part, metre)
    placed = _place_strokes(part, grid)
    changes = sorted(
        (
            (grid.settled(at) if settle_pushed and change.is_pushed else at, change)
            for at, change in _find_changes(part, grid)
        ),
        key=lambda item: item[0],
    )
    own_changes: list[list[Change]] = [[] for _ in grid.lengths]
    own_strokes: list[list[PlacedStroke]] = [[] for _ in grid.lengths]
    for at, change in changes:
        index, first = grid.bar_of(at)
        own_changes[index].append(Change(at - first, change.kind, change.time_s, change.span))
    for at, end, stroke, event in placed:
        index, first = grid.bar_of(at)
        own_strokes[index].append(PlacedStroke(at - first, end - first, stroke, event))
    bars: list[Bar] = []
    held: Change | None = None
    for index, n_steps in enumerate(grid.lengths):
        begun = tuple(own_changes[index])
        if begun and begun[0].step == 0:
            held = begun[0]
        start_s, end_s = part.bars_s[index], part.bars_s[index + 1]
        number = part.first_bar + index
        bars.append(Bar(number, start_s, end_s, n_steps, held, begun, tuple(own_strokes[index])))
        held = begun[-1] if begun else held
    return tuple(bars)


class _Grid:
    """The bars of a measured part as one row of steps."""

    def __init__(self, part: Part, metre: Metre) -> None:
        full, pickup = metre.steps_per_bar, metre.pickup_steps
        n_bars = len(part.bars_s) - 1
        self.full = full
        self.bars_s = part.bars_s
        self.first_bar = part.first_bar
        self.lengths = [pickup if pickup and index == 0 else full for index in range(n_bars)]
        self.offsets = [0, *accumulate(self.lengths)]

    def place(self, position: GridPosition | None, time_s: float) -> int:
        """Return the step from the first bar line, inside the bars; by the clock where there is no position."""
        if position is None:
            index = min(max(bisect_right(self.bars_s, time_s) - 1, 0), len(self.lengths) - 1)
            start_s, end_s = self.bars_s[index], self.bars_s[index + 1]
            step = round((time_s - start_s) / (end_s - start_s) * self.lengths[index])
        else:
            index, step = position.bar - self.first_bar, position.step
            if index == 0:  # a pickup is counted from where its whole bar would begin
                step -= self.full - self.lengths[0]
        if not 0 <= index < len(self.lengths):
            return 0 if index < 0 else self.offsets[-1] - 1
        return min(max(self.offsets[index] + step, 0), self.offsets[-1] - 1)

    def bar_of(self, at: int) -> tuple[int, int]:
        """Return the index of the bar that a step lies in, and the bar's own first step."""
        index = min(bisect_right(self.offsets, at) - 1, len(self.lengths) - 1)
        return index, self.offsets[index]

    def settled(self, at: int) -> int:
        """Return the next beat."""
        index = bisect_right(self.offsets, at) - 1
        phase = self.lengths[index] % STEPS_PER_BEAT
        inside = at - self.offsets[index] - phase
        moved = self.offsets[index] + phase + -(-inside // STEPS_PER_BEAT) * STEPS_PER_BEAT
        return min(moved, self.offsets[-1] - 1)


def _place_strokes(part: Part, grid: _Grid) -> list[tuple[int, int, Stroke, Event]]:
    """Return every stroke with its first step and the step at which something else begins."""
    strokes = sorted(
        (
            (grid.place(stroke.position, stroke.span.start_s), stroke, event)
            for event in part.events
            for stroke in event.strokes
        ),
        key=lambda item: (item[0], item[1].span.start_s),
    )
    stops = sorted(
        grid.place(event.position, event.span.start_s) for event in part.events if event.kind in {"silence", "unread"}
    )
    edges = sorted({*(at for at, _, _ in strokes), *stops, grid.offsets[-1]})
    return [(at, edges[min(bisect_right(edges, at), len(edges) - 1)], stroke, event) for at, stroke, event in strokes]


def _find_changes(part: Part, grid: _Grid) -> list[tuple[int, Change]]:
    """Follow the events: where another chord, no chord, or something unread begins."""
    least = REST_SHARE * grid.full
    states = _find_states(part)
    starts = [
        grid.place(change.span.position if change.span else event.position, change.time_s) for change, event in states
    ]
    changes: list[tuple[int, Change]] = []
    for index, (change, _) in enumerate(states):
        end = starts[index + 1] if index + 1 < len(states) else grid.offsets[-1]
        if change.kind == "none" and end - starts[index] < least and 0 < index < len(states) - 1:
            continue
        if change.kind == "none" and end == starts[index]:  # silence before the first bar
            continue
        if changes and _is_same_chord(change, changes[-1][1]):
            continue
        changes.append((starts[index], change))
    return changes


def _is_same_chord(change: Change, before: Change) -> bool:
    """Whether a chord only goes on after a short stop."""
    return change.span is not None and before.span is not None and change.span.first_event == before.span.first_event


def _find_states(part: Part) -> list[tuple[Change, Event]]:
    """Return what holds from which event on."""
    states: list[tuple[Change, Event]] = []
    before: tuple[ChangeKind, int | None] | None = None
    for event in part.events:
        kind: ChangeKind = "chord" if event.span_index is not None else "unread" if event.kind == "unread" else "none"
        state = (kind, event.span_index)
        if state == before:
            continue
        span = None if event.span_index is None else part.spans[event.span_index]
        resumed = span is not None and part.events[span.first_event].number != event.number
        shown = span if not resumed or span is None else _resume(span, event)
        time_s = event.span.start_s if span is None or resumed else span.span.start_s
        states.append((Change(0, kind, time_s, shown), event))
        before = state
    return states


def _resume(span: ChordSpan, event: Event) -> ChordSpan:
    """Return the chord as it goes on after something that interrupted it."""
    return replace(span, position=event.position, marks=())


def _free_stretches(part: Part) -> tuple[Bar, ...]:
    states = _find_states(part)
    starts = [change.time_s for change, _ in states]
    end_s = max([part.span.end_s, *(event.span.end_s for event in part.events)])
    bars = []
    for index, (change, _) in enumerate(states):
        start_s = starts[index]
        stop_s = starts[index + 1] if index + 1 < len(starts) else end_s
        n_steps = max(_free_step(stop_s - start_s), FREE_GRID)
        inside = sorted(
            (
                (min(max(_free_step(stroke.span.start_s - start_s), 0), n_steps - FREE_GRID), stroke, event)
                for event in part.events
                for stroke in event.strokes
                if start_s <= stroke.span.start_s < stop_s
            ),
            key=lambda item: (item[0], item[1].span.start_s),
        )
        edges = sorted({*(item[0] for item in inside), n_steps})
        strokes = [PlacedStroke(at, edges[bisect_right(edges, at)], stroke, event) for at, stroke, event in inside]
        here = Change(0, change.kind, start_s, change.span)
        bars.append(Bar(index + 1, start_s, stop_s, n_steps, here, (here,), tuple(strokes), is_measured=False))
    return tuple(bars)


def _free_step(seconds: float) -> int:
    return round(seconds * FREE_STEPS_PER_S / FREE_GRID) * FREE_GRID
