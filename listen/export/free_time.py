"""A part in free time, laid out in stretches: one for each chord, rest or unread place, by the clock.

A stretch has a grid of :data:`FREE_STEPS_PER_S` steps a second, and ``is_measured`` is false.
"""

from __future__ import annotations

from listen.export.bar import Bar, Change, PlacedStroke
from listen.export.changes import find_states
from listen.export.stops import is_ring_out
from listen.reading import Part

FREE_STEPS_PER_S = 12  # a quarter note a second
FREE_GRID = 3  # free time is written in sixteenths of it


def find_stretches(part: Part) -> tuple[Bar, ...]:
    """Return the stretches of a part: numbered from 1, the silence after the last chord left out."""
    states = find_states(part)
    if states and is_ring_out(states[-1][1], part):
        states.pop()
    starts = [change.time_s for change, _ in states]
    end_s = max([part.recording.span.end_s, *(event.span.end_s for event in part.events)])
    bars = []
    for index, (change, _) in enumerate(states):
        start_s = starts[index]
        stop_s = starts[index + 1] if index + 1 < len(starts) else end_s
        strokes, n_steps = _place_strokes(part, start_s, stop_s)
        here = Change(0, change.kind, start_s, change.span)
        bars.append(Bar(index + 1, start_s, stop_s, n_steps, here, (here,), strokes, is_measured=False))
    return tuple(bars)


def _place_strokes(part: Part, start_s: float, stop_s: float) -> tuple[tuple[PlacedStroke, ...], int]:
    """Return the strokes of a stretch, each on a place of its own, and how many steps the stretch has for them."""
    inside = [
        (stroke, event) for event in part.events for stroke in event.strokes if start_s <= stroke.span.start_s < stop_s
    ]
    inside.sort(key=lambda item: item[0].span.start_s)
    steps: list[int] = []
    for stroke, _ in inside:
        at = max(_free_step(stroke.span.start_s - start_s), 0)
        steps.append(max(at, steps[-1] + FREE_GRID) if steps else at)
    n_steps = max(_free_step(stop_s - start_s), FREE_GRID, *(at + FREE_GRID for at in steps[-1:]))
    ends = [*steps[1:], n_steps]
    placed = [PlacedStroke(at, end, *item) for at, end, item in zip(steps, ends, inside, strict=False)]
    return tuple(placed), n_steps


def _free_step(seconds: float) -> int:
    return round(seconds * FREE_STEPS_PER_S / FREE_GRID) * FREE_GRID
