"""Rests that a person told where nothing with a pitch is struck: what rings there ends, and goes on after them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from listen.evidence import TimeSpan
from listen.reading import STEPS_PER_BEAT, Correction
from listen.theory import is_no_chord
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import PlannedEvent
from listen.transcription.grid import Grid
from listen.transcription.told_places import Told, cut_chord

LEAST_S = 0.05  # from a stroke to a rest, and what is left of a rest before the next event


@dataclass(frozen=True, slots=True)
class ToldRest:
    """A rest that a person told.

    Parameters
    ----------
    span : TimeSpan
        From its place to the end of its bar.
    following : int
        The first stroke of a later bar; where there is none, as many as there are strokes.
    """

    span: TimeSpan
    following: int


def find_told_rests(
    corrections: Iterable[Correction], strokes: Collection[Told], onsets_s: Sequence[float], grid: Grid | None
) -> tuple[ToldRest, ...]:
    """Find where a person said that there is no chord, and no stroke with a pitch is that the word could point to.

    Parameters
    ----------
    corrections : iterable of Correction
    strokes : collection of (Pin or Correction)
        What was told by bar and beat and begins with a stroke.
    onsets_s : sequence of float
        Of all strokes of the part.
    grid : Grid or None
        None in free time, where nothing is told by bars.

    Returns
    -------
    tuple of ToldRest
        In time order; none before the first stroke, where no chord is anyway, nor behind the last bar.
    """
    if grid is None:
        return ()
    told = [one for one in corrections if one.what == "name" and one not in strokes and is_no_chord(one.value)]
    rests = [_find_rest(one.bar, one.beat, onsets_s, grid) for one in told if one.bar is not None]
    return tuple(sorted((rest for rest in rests if rest is not None), key=lambda rest: rest.span.start_s))


def _find_rest(bar: int, beat: Fraction, onsets_s: Sequence[float], grid: Grid) -> ToldRest | None:
    index, place = bar - grid.first_bar, (bar, round((beat - 1) * STEPS_PER_BEAT))
    if not grid.bars.has_beat(bar, beat) or not 0 <= index < len(grid.bars_s) - 1:
        return None
    n_before = sum((at.bar, at.step) < place for at in grid.positions)
    following = sum(at.bar <= bar for at in grid.positions)
    next_s = grid.bars_s[index + 1]
    damped_s = onsets_s[n_before:following]
    start_s = min(find_time(place, grid), *damped_s[:1], next_s)
    end_s = min(next_s, *onsets_s[following : following + 1], next_s)
    if not n_before:
        return None
    start_s = max(start_s, onsets_s[n_before - 1] + LEAST_S)
    return ToldRest(TimeSpan(start_s, end_s), following) if start_s < end_s else None


def find_time(place: tuple[int, int], grid: Grid) -> float:
    """Return the second at which a place lies, a bar and a step in it, as the bars are counted."""
    bars, index = grid.bars, place[0] - grid.first_bar
    n_steps = bars.count_steps(place[0])
    share = max(place[1] - bars.count_beats(place[0]) * STEPS_PER_BEAT + n_steps, 0) / n_steps
    line_s, next_s = grid.bars_s[index : index + 2]
    return line_s + share * (next_s - line_s)


def cut_at_told_rests(
    chords: Sequence[ReadChord], rests: Sequence[ToldRest], onsets_s: Sequence[float]
) -> tuple[ReadChord, ...]:
    """Let no chord sound in a rest that was told: it ends where the rest begins, and begins anew after it."""
    cuts = sorted({rest.following for rest in rests})
    spans = [rest.span for rest in rests]
    return tuple(_end_at_rest(piece, spans) for chord in chords for piece in cut_chord(chord, cuts, onsets_s))


def write_told_rests(events: Sequence[PlannedEvent], rests: Sequence[ToldRest]) -> tuple[PlannedEvent, ...]:
    """Write the rests that were told as events; damped strokes in them hold no chord.

    Their numbers lie behind all others, those of parted events among them (:func:`.events.keep_numbers`). A silence
    that was heard at that place, from before it on, stays as it is.
    """
    written = list(events)
    number = max((event.number for event in events), default=0) + sum(len(event.strokes) for event in events) + 1
    for rank, rest in enumerate(one.span for one in rests):
        inside = [at for at, event in enumerate(written) if rest.start_s <= event.span.start_s < rest.end_s]
        for at in inside:
            written[at] = replace(written[at], chord=None)
        place = sum(event.span.start_s < rest.start_s for event in written)
        before, end_s = written[place - 1], written[inside[0]].span.start_s if inside else rest.end_s
        if (before.kind == "silence" and before.span.end_s > rest.start_s) or end_s - rest.start_s < LEAST_S:
            continue
        end_before_s = min(before.span.end_s, rest.start_s)
        written[place - 1] = replace(before, span=TimeSpan(before.span.start_s, end_before_s))
        written.insert(place, PlannedEvent(TimeSpan(rest.start_s, end_s), "silence", number=number + rank))
    return tuple(written)


def _end_at_rest(chord: ReadChord, rests: Sequence[TimeSpan]) -> ReadChord:
    """End the last stretch of a chord where a rest begins in it."""
    last = chord.held.stretches[-1]
    starts_s = [rest.start_s for rest in rests if last.span.start_s < rest.start_s < last.span.end_s]
    return replace(chord, held=chord.held.ended_at(starts_s[0])) if starts_s else chord
