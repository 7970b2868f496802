"""Chords whose first stroke is the first of its bar begin with the bar: what was struck before it was too soft to hear.

A hand changes at the bar line; a bass that a thumb picks there softly, or a beat that is left out, moves the first
stroke that is heard and not the chord.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.evidence import TimeSpan
from listen.reading import GridPosition
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import PlannedEvent
from listen.transcription.grid import Grid
from listen.transcription.held_chords import HeldChord

LATEST_SHARE = 0.5  # of the bar: what begins later begins where it is struck
JOINED_S, LEAST_S = 0.02, 0.05  # chords so near follow each other without a rest; what is left of one lasts longer


def begin_at_bar_lines(
    chords: Sequence[ReadChord], onsets_s: Sequence[float], grid: Grid | None
) -> tuple[ReadChord, ...]:
    """Let chords begin at the bar line where nothing is struck between it and their first stroke.

    Parameters
    ----------
    chords : sequence of ReadChord
        In time order.
    onsets_s : sequence of float
        Of all strokes of the part.
    grid : Grid or None
        None in free time, where nothing moves.

    Returns
    -------
    tuple of ReadChord
        The chord before ends there; over a rest it does not, and nothing moves.
    """
    moved = list(chords)
    if grid is None:
        return tuple(moved)
    for place in range(1, len(moved)):
        before, chord = moved[place - 1].held, moved[place].held
        first = chord.strokes[0]
        line_s = _find_line(grid, first)
        if line_s is None or not onsets_s[first - 1] + LEAST_S < line_s < onsets_s[first]:
            continue
        if chord.span.start_s - before.span.end_s < JOINED_S and before.stretches[-1].span.start_s < line_s - LEAST_S:
            moved[place - 1] = replace(moved[place - 1], held=before.ended_at(line_s))
            moved[place] = replace(moved[place], held=_begin_at(chord, line_s))
    return tuple(moved)


def place_beginning(event: PlannedEvent) -> GridPosition | None:
    """Return where the chord of its first event begins: the event's place, or the bar line before it."""
    position = event.strokes[0].position if event.strokes else None
    if position is None or event.chord is None:
        return position
    begins_before = event.chord.held.span.start_s < event.strokes[0].span.start_s - JOINED_S
    return GridPosition(position.bar, 0) if begins_before else position


def _find_line(grid: Grid, stroke: int) -> float | None:
    """Return the bar line before the first stroke of a bar; None for other strokes, and late in the bar."""
    at, before = grid.positions[stroke], grid.positions[stroke - 1]
    if at.step == 0 or at.step > LATEST_SHARE * grid.metres[0].steps_per_bar or before.bar >= at.bar:
        return None
    return grid.bars_s[at.bar - grid.first_bar]


def _begin_at(chord: HeldChord, time_s: float) -> HeldChord:
    first, *others = chord.stretches
    return replace(chord, stretches=(replace(first, span=TimeSpan(time_s, first.span.end_s)), *others))
