"""A part laid out in bars: where each chord begins and where each stroke falls, for whoever writes it down."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from itertools import pairwise

from listen.export.bar import Bar, Change, PlacedStroke, find_metre, has_pickup
from listen.export.bar_grid import BarGrid
from listen.export.changes import find_changes
from listen.export.free_time import find_stretches
from listen.export.stops import list_told_rests, place_stop
from listen.reading import Event, Part, Stroke

LEFT_OUT = 0.3  # of the longest beat of its bar: a shorter one is only counted; judged
SAME_S = 0.005  # where a beat and a bar line are one


_Placed = tuple[int, int, Stroke, Event]


@dataclass(frozen=True, slots=True)
class LaidPart:
    """A part in bars, or in free time in stretches; those after the last sound are left out.

    Parameters
    ----------
    part : Part
    played : tuple of Bar
        With changes where they were played.
    written : tuple of Bar
        With changes where a chart writes them (:meth:`~listen.export.bar_grid.BarGrid.settled`).
    """

    part: Part
    played: tuple[Bar, ...]
    written: tuple[Bar, ...]


def lay_bars(part: Part) -> LaidPart:
    """Lay a part out in bars: once for everything that is written of it."""
    metre = find_metre(part)
    if metre is None:
        stretches = find_stretches(part)
        return LaidPart(part, stretches, stretches)
    grid = BarGrid(part, metre)
    told, strokes = list_told_rests(part, grid), _list_strokes(part, grid)
    struck = [at for at, _, _ in strokes]
    changes = sorted(find_changes(part, grid, struck=struck, told=told), key=lambda item: item[0])
    edges = sorted({*struck, *_find_stops(part, grid, struck, told), grid.offsets[-1]})
    placed = [(at, edges[min(bisect_right(edges, at), len(edges) - 1)], stroke, event) for at, stroke, event in strokes]
    played, written = (_fill_bars(part, grid, own, placed) for own in (changes, _settle(changes, grid)))
    return LaidPart(part, played, written)


def _fill_bars(part: Part, grid: BarGrid, changes: list[tuple[int, Change]], placed: list[_Placed]) -> tuple[Bar, ...]:
    """Put changes and strokes into their bars."""
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
        start_s, end_s = part.bars.lines_s[index], part.bars.lines_s[index + 1]
        number = part.bars.first_bar + index
        left_out = _count_left_out(part.bars.beats_s, start_s, end_s)
        bar = Bar(number, start_s, end_s, n_steps, held, begun, tuple(own_strokes[index]), left_out=left_out)
        bars.append(bar if index else replace(bar, before=grid.before))
        held = begun[-1] if begun else held
    return tuple(_without_end(bars, part))


def fill_first(bars: tuple[Bar, ...], part: Part) -> tuple[Bar, ...]:
    """Let a short first bar that is no pickup begin with a rest, as long as the other bars."""
    if has_pickup(part) or not bars or not bars[0].before:
        return bars
    first, rest = bars[0], bars[0].before
    start_s = first.end_s - (first.end_s - first.start_s) * (first.n_steps + rest) / first.n_steps
    none = Change(0, "none", start_s)
    filled = replace(
        first,
        start_s=start_s,
        before=0,
        n_steps=first.n_steps + rest,
        held=none,
        changes=(none, *(replace(one, step=one.step + rest) for one in first.changes)),
        strokes=tuple(replace(one, step=one.step + rest, end=one.end + rest) for one in first.strokes),
    )
    return (filled, *bars[1:])


def _settle(changes: list[tuple[int, Change]], grid: BarGrid) -> list[tuple[int, Change]]:
    """Move changes to where a chart writes them, each with regard to the next one."""
    settled: list[tuple[int, Change]] = []
    for at, change in reversed(changes):
        before = settled[-1][0] if settled else grid.offsets[-1]
        settled.append((grid.settled(at, is_pushed=change.is_pushed, before=before), change))
    return settled[::-1]


def _count_left_out(beats_s: tuple[float, ...], start_s: float, end_s: float) -> int:
    """Count the beats of a bar that were not played: no hand strikes so soon before the next one."""
    inside = beats_s[bisect_left(beats_s, start_s - SAME_S) : bisect_right(beats_s, end_s + SAME_S)]
    lengths_s = [after - before for before, after in pairwise(inside)]
    return sum(length_s < LEFT_OUT * max(lengths_s) for length_s in lengths_s)


def _without_end(bars: list[Bar], part: Part) -> list[Bar]:
    """Leave out the bars after the last sound."""
    sounds = [at for at, bar in enumerate(bars) if bar.strokes or any(c.kind != "none" for c in bar.changes)]
    silent_end = part.events and part.events[-1].kind == "silence"
    return bars[: max(sounds, default=0) + 1] if silent_end else bars


def _list_strokes(part: Part, grid: BarGrid) -> list[tuple[int, Stroke, Event]]:
    """Return every stroke with its step, in order."""
    return sorted(
        (
            (grid.place(stroke.position, stroke.span.start_s), stroke, event)
            for event in part.events
            for stroke in event.strokes
        ),
        key=lambda item: (item[0], item[1].span.start_s),
    )


def _find_stops(part: Part, grid: BarGrid, struck: list[int], told: list[int]) -> list[int]:
    """Return where sound ends without a stroke."""
    stops = []
    for event in part.events:
        if event.kind not in {"silence", "unread"}:
            continue
        at = grid.place(event.position, event.span.start_s)
        if event.kind == "silence":
            until = struck[bisect_left(struck, at)] if struck and struck[-1] >= at else grid.offsets[-1]
            at = min(place_stop(event, part, grid, struck=struck, told=told), until)
        stops.append(at)
    return stops
