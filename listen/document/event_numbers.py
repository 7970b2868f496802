"""Numbers of events in two readings of one recording: what was settled by a number is placed by the time of its event.

A number counts the events of one reading. Where another hearing finds a rest or a stroke more, all behind it have other
numbers; they begin when they began.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from listen.reading import Correction, Event, Part, Pin

NEAR_S = 0.25  # an event that begins further away is another one; judged, not measured
AnyTold = TypeVar("AnyTold", Pin, Correction)


def list_numbers(told: Iterable[Pin | Correction]) -> frozenset[int]:
    """Return the numbers of the events that something was told of."""
    return frozenset(one.event_number for one in told if one.bar is None and one.event_number is not None)


def renumber(told: Iterable[AnyTold], numbers: Mapping[int, int]) -> tuple[AnyTold, ...]:
    """Give what was told of events the numbers that :func:`follow_events` found for them."""
    return tuple(
        replace(one, event_number=numbers.get(one.event_number, one.event_number))
        if one.bar is None and one.event_number is not None
        else one
        for one in told
    )


def follow_events(before: Part, now: Part, numbers: Iterable[int]) -> dict[int, int]:
    """Find the events of an earlier reading in a later one, each by when it begins.

    Parameters
    ----------
    before, now : Part
        Two readings of one recording.
    numbers : iterable of int
        Of events of the earlier one.

    Returns
    -------
    dict of int to int
        From each number to the one that it has now. A number without a place in the later reading stays where no
        event has it now, or where the earlier one was not read to its end; else it is one that no event has.
    """
    wanted = sorted(set(numbers))
    was = {event.number: event for event in before.events}
    taken = {event.number for event in now.events}
    was_whole = before.recording.complete and before.recording.reaches_end
    free = max([0, *wanted, *was, *taken]) + sum(len(event.strokes) for event in now.events)  # cuts number on to there
    found = {}
    for number in wanted:
        event = was.get(number)
        match = None if event is None else _find_same(event, before, now)
        if match is not None:
            found[number] = match.number
        else:
            is_another = number in taken and (event is not None or was_whole)
            found[number] = number + free if is_another else number
    return found


def _find_same(event: Event, before: Part, now: Part) -> Event | None:
    """Find the event that begins nearest, sounding or silent as it is, and has none nearer in the earlier reading."""
    near = _find_nearest(event, now)
    if near is None or abs(near.span.start_s - event.span.start_s) > NEAR_S:
        return None
    return near if _find_nearest(near, before) is event else None


def _find_nearest(event: Event, part: Part) -> Event | None:
    alike = (one for one in part.events if (one.kind == "silence") == (event.kind == "silence"))
    return min(
        alike,
        key=lambda one: (abs(one.span.start_s - event.span.start_s), one.number != event.number),
        default=None,
    )
