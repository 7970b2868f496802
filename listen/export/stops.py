"""Where a silence is written: strings that die away or are damped keep no time, a chart keeps beats."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Sequence

from listen.export.bar_grid import BarGrid
from listen.reading import STEPS_PER_BEAT, Event, GridPosition, Part
from listen.theory import is_no_chord

FADES_S = 0.25
"""So long after its beat a stop may be heard: strings and a room die away, and silences are told to a tenth of
a second. Five stops of recorded notes and a soundfont, damped on the beat, were heard 0.1 to 0.24 s behind it."""


def place_stop(event: Event, part: Part, grid: BarGrid, *, struck: Sequence[int], told: Collection[int]) -> int:
    """Return the step at which a silence is written.

    One that a person told is written at its place. Else it is the beat before, where that is a sixteenth away or a
    quarter of a second, and nothing was struck on it or behind it; else the next beat, and the next bar line after the
    last chord of a part.

    Parameters
    ----------
    event : Event
        A silence.
    part : Part
    grid : BarGrid
    struck : sequence of int
        The steps at which something is struck, in order.
    told : collection of int
        As :func:`list_told_rests` gives them.
    """
    at = grid.place(event.position, event.span.start_s)
    if at in told:
        return at
    if is_ring_out(event, part):
        return grid.next_bar(at)
    following = grid.next_beat(at)
    beat = following - STEPS_PER_BEAT
    index, _ = grid.bar_of(at)
    step_s = (grid.bars_s[index + 1] - grid.bars_s[index]) / grid.lengths[index]
    late = min(max(FADES_S / step_s, grid.between / 2), grid.between - 1)
    before = bisect_right(struck, at) - 1
    is_late = at - beat <= late and before >= 0 and struck[before] < beat
    return beat if is_late else following


def list_told_rests(part: Part, grid: BarGrid) -> list[int]:
    """Return the steps from which on a person said that there is no chord, in the order in which it was said."""
    told = [one for one in part.settled.corrections if one.what == "name" and is_no_chord(one.value)]
    places = [GridPosition(one.bar, round((one.beat - 1) * STEPS_PER_BEAT)) for one in told if one.bar is not None]
    return [grid.place(place, 0.0) for place in places]


def is_ring_out(event: Event, part: Part) -> bool:
    """Whether it is the silence after which nothing else comes, and something came before."""
    if not event.number or event.number == part.events[0].number:
        return False
    sounding = next((one for one in reversed(part.events) if one.kind != "silence"), None)
    return sounding is None or event.span.start_s > sounding.span.start_s
