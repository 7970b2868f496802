"""What begins to hold where: another chord, no chord, or something that could not be read."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from listen.export.bar import Change, ChangeKind
from listen.export.bar_grid import BarGrid
from listen.export.stops import place_stop
from listen.reading import ChordSpan, Event, Part

REST_SHARE = 0.5  # a gap between chords shorter than this share of a bar is no N.C.: the chord goes on after the stop
OFTEN_SHARE = 0.5  # where more bars have a shorter gap than a bar, the part is played so, and only whole bars are N.C.


def find_changes(
    part: Part, grid: BarGrid, *, struck: Sequence[int], told: Collection[int]
) -> list[tuple[int, Change]]:
    """Follow the events: where another chord, no chord, or something unread begins.

    A silence begins where :func:`~listen.export.stops.place_stop` writes it, which tells of `struck` and `told`.

    Returns
    -------
    list of (int, Change)
        Steps from the first bar line, in time order; the step inside each change is not filled in.
    """
    states = find_states(part)
    starts = [
        grid.place(change.span.position if change.span else event.position, change.time_s) for change, event in states
    ]
    ends = [*starts[1:], grid.offsets[-1]]
    written = list(starts)
    gaps: dict[int, int] = {}  # between chords: how long each is, up to the beat that the next chord means
    for index, (change, event) in enumerate(states):
        if change.kind != "none":
            continue
        if index and event.kind == "silence":  # before all sound nothing stops
            written[index] = place_stop(event, part, grid, struck=struck, told=told)
        if 0 < index < len(states) - 1:
            until = grid.next_beat(ends[index]) if states[index + 1][0].is_pushed else ends[index]
            gaps[index] = until - written[index]
    is_often = sum(gap < grid.full for gap in gaps.values()) > OFTEN_SHARE * len(grid.lengths)
    least = grid.full if is_often else REST_SHARE * grid.full
    changes: list[tuple[int, Change]] = []
    for index, (change, event) in enumerate(states):
        at, end = written[index], ends[index]
        if change.kind == "none":
            is_said = _is_said(event) or any(starts[index] <= step < end for step in told)
            if gaps.get(index, least) < least and not is_said:
                continue
            if at >= end:  # silence before the first bar, or a ring-out that ends with the part
                continue
        if changes and _is_same_chord(change, changes[-1][1]):
            continue
        changes.append((at, change))
    return changes


def find_states(part: Part) -> list[tuple[Change, Event]]:
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


def _is_said(event: Event) -> bool:
    """Whether a person said that there is no chord: what was read is gone, and the strokes are there."""
    return event.kind == "hit" and event.reading is None


def _is_same_chord(change: Change, before: Change) -> bool:
    """Whether a chord only goes on after a short stop."""
    return change.span is not None and before.span is not None and change.span.first_event == before.span.first_event


def _resume(span: ChordSpan, event: Event) -> ChordSpan:
    """Return the chord as it goes on after something that interrupted it."""
    return replace(span, position=event.position, marks=())
