"""From strokes to events: strums, picked patterns, lines, hits, rests, and what could not be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from listen.evidence import Direction, PartEvidence, StrokeEvidence, TimeSpan
from listen.reading import PICKED, EventKind, GridPosition, Mark, Stroke, StrokeKind
from listen.transcription.chord_readings import ReadChord
from listen.transcription.grid import Grid
from listen.transcription.struck import StruckStrings, add_told, find_struck, tell_directions

LEAST_PICKED = 3  # picked strings in a row, inside one chord, are a picked pattern
REST_S = 0.6  # shorter silences are the ends of strokes; judged
PALM_SUSTAIN_DB = -6.5
PALM_LESS_DB, PALM_LEAST_DB = 3.5, -5.0
"""How far a stroke under the palm falls in a tenth of a second, in any case and against what is usual in the part.
Rendered ones fall by 6 to 7 dB (electric), 10 (steel) or 12 (nylon), open ones by 1 to 3; of 3,417 open strokes of
other sounds, some of which fall by 6, 42 would be marked by the median of three strokes, and high strings that are
picked or brushed by themselves fall so by twos: three strokes in a row are asked."""
LEAST_PALM = 3
ACCENT_DB, NEAR_STROKES = 4.0, 8
STRUCK_ONLY_DB = -6.0  # what the ear refuses, and falls by so much in a tenth of a second, is a knock or a drum
UNREAD_S = 2.0  # sound without a stroke for so long before the first one is worth a mark
HIT_S, SHORTEST_S = 0.1, 0.02  # what a stroke without pitch lasts, and any stroke at least


@dataclass(frozen=True, slots=True)
class PlannedStroke:
    """A stroke before its strings are known.

    Parameters
    ----------
    span : TimeSpan
    kind : StrokeKind
    midis : tuple of int
        What it sounds, low to high.
    direction, probability
    level_db : float
        Against the loudest stroke.
    position : GridPosition or None
    sustain_db : float
        How far its sound has fallen after a tenth of a second.
    marks : tuple of Mark
    """

    span: TimeSpan
    kind: StrokeKind
    midis: tuple[int, ...]
    direction: Direction | None
    probability: float
    level_db: float
    position: GridPosition | None
    sustain_db: float = 0.0
    marks: tuple[Mark, ...] = ()

    def to_stroke(self) -> Stroke:
        """Return the value, without notes."""
        return Stroke(
            self.span, self.kind, (), self.direction, self.probability, self.level_db, self.position, self.marks
        )


@dataclass(frozen=True, slots=True, eq=False)
class PlannedEvent:
    """An event before shapes are known.

    Parameters
    ----------
    span : TimeSpan
    kind : EventKind
    strokes : tuple of PlannedStroke
    chord : ReadChord or None
        What is held.
    number : int
        Counts all events from 1.
    """

    span: TimeSpan
    kind: EventKind
    strokes: tuple[PlannedStroke, ...] = ()
    chord: ReadChord | None = None
    number: int = 0


def plan_events(heard: PartEvidence, chords: Sequence[ReadChord], grid: Grid | None) -> tuple[PlannedEvent, ...]:
    """Plan the events of a part, in time order.

    Parameters
    ----------
    heard : PartEvidence
    chords : sequence of ReadChord
        In time order.
    grid : Grid or None
        None in free time.
    """
    held = _find_held(len(heard.strokes), chords)
    strokes = _plan_strokes(heard, held, grid)
    events = [*_gather(list(zip(strokes, held, strict=True))), *_find_rests(heard)]
    in_time = sorted(events, key=lambda event: event.span.start_s)
    return tuple(replace(event, number=number) for number, event in enumerate(in_time, start=1))


def keep_numbers(
    events: Sequence[PlannedEvent], uncut: Sequence[PlannedEvent], onsets_s: Sequence[float]
) -> tuple[PlannedEvent, ...]:
    """Give the events of chords that were cut the numbers of the whole ones: words by number stay where they are.

    What a cut parts from its event is numbered behind all others, by its first stroke, whatever else is cut.
    """
    number_of = {(event.span.start_s, event.kind == "silence"): event.number for event in uncut}
    parted = {at_s: number for number, at_s in enumerate(onsets_s, start=len(uncut) + 1)}
    return tuple(
        replace(event, number=number_of.get((at_s, event.kind == "silence")) or parted[at_s])
        for event, at_s in ((event, event.span.start_s) for event in events)
    )


def _find_held(n_strokes: int, chords: Sequence[ReadChord]) -> list[ReadChord | None]:
    """Find which chord is held at each stroke; a hit between two chords belongs to the one before it."""
    held: list[ReadChord | None] = [None] * n_strokes
    for chord in chords:
        for place in chord.held.strokes:
            held[place] = chord
    for place in range(1, n_strokes):
        if held[place] is None:
            held[place] = held[place - 1]
    return held


def _plan_strokes(heard: PartEvidence, held: list[ReadChord | None], grid: Grid | None) -> list[PlannedStroke]:
    pitches = [sorted(chord.held.pitches) if chord is not None else [] for chord in held]
    alone = {one.first: one.without(one.told) for one in heard.stretches if one.first == one.last}
    places = None if grid is None else grid.places
    told = {place: one.told for one in heard.stretches for place in range(one.first, one.last + 1)}
    sounding = [[midi for midi in own if midi not in told.get(at, ())] or own for at, own in enumerate(pitches)]
    struck = find_struck(
        heard.strokes,
        [[] if stroke.is_hit else midis for stroke, midis in zip(heard.strokes, sounding, strict=True)],
        [alone.get(place) for place in range(len(heard.strokes))],
        places,
    )
    struck = [add_told(*one) for one in zip(struck, sounding, pitches, strict=True)]
    directions = tell_directions(heard.strokes, struck, grid)
    loudest_db = max((stroke.level_db for stroke in heard.strokes), default=0.0)
    marks = _mark_strokes(heard.strokes)
    planned = []
    for place, stroke in enumerate(heard.strokes):
        chord, run = held[place], struck[place]
        following_s = heard.strokes[place + 1].onset_s if place + 1 < len(heard.strokes) else np.inf
        until_s = stroke.onset_s + HIT_S
        if run is not None and chord is not None:
            until_s = chord.held.span.end_s
        end_s = max(min(following_s, until_s), stroke.onset_s + SHORTEST_S)
        planned.append(
            PlannedStroke(
                TimeSpan(stroke.onset_s, end_s), _kind_of(run),
                _list_midis(run, pitches[place]),
                *directions[place], stroke.level_db - loudest_db,
                None if grid is None else grid.positions[place],
                stroke.sustain_db, marks[place],
            )
        )  # fmt: skip
    return planned


def _mark_strokes(strokes: Sequence[StrokeEvidence]) -> list[tuple[Mark, ...]]:
    """Mark strokes that stand out from their neighbours, and those under the palm: pitched, but soon gone."""
    levels = np.array([stroke.level_db for stroke in strokes])
    sustains = np.array([stroke.sustain_db for stroke in strokes])
    pitched = [stroke.sustain_db for stroke in strokes if not stroke.is_hit]
    usual_db = float(np.quantile(pitched, 0.75)) if pitched else 0.0
    palm_db = max(PALM_SUSTAIN_DB, min(PALM_LEAST_DB, usual_db - PALM_LESS_DB))
    muted: set[int] = set()
    for falls, run in groupby(range(len(strokes)), lambda place: strokes[place].is_hit or sustains[place] < palm_db):
        own = [place for place in run if not strokes[place].is_hit]
        muted.update(own if falls and len(own) >= LEAST_PALM else ())
    marks = []
    for place in range(len(strokes)):
        near = slice(max(0, place - NEAR_STROKES), place + NEAR_STROKES + 1)
        found: list[Mark] = []
        if place in muted:
            found.append("palm mute")
        if levels[place] > float(np.median(levels[near])) + ACCENT_DB:
            found.append("accent")
        marks.append(tuple(found))
    return marks


def _list_midis(run: StruckStrings | None, pitches: Sequence[int]) -> tuple[int, ...]:
    if run is None:
        return ()
    return (run.beside,) if run.beside is not None else tuple(pitches[at] for at in run.places)


def _kind_of(run: StruckStrings | None) -> StrokeKind:
    if run is None:
        return "muted"
    if run.is_single:
        return "single"
    return "pinch" if run.is_pinch else "top" if run.is_top else "full"


def _gather(strokes: Sequence[tuple[PlannedStroke, ReadChord | None]]) -> list[PlannedEvent]:
    """Gather strokes into events: runs of picked strings in one bar of one chord are one picked pattern."""
    events: list[PlannedEvent] = []
    for (chord, is_picked, _), run in groupby(strokes, key=_key_of_run):
        row = [stroke for stroke, _ in run]
        if not is_picked:
            events.extend(_plan_event(stroke, chord) for stroke in row)
        elif len(row) >= LEAST_PICKED:
            events.append(PlannedEvent(TimeSpan(row[0].span.start_s, row[-1].span.end_s), "picked", tuple(row), chord))
        else:
            events.extend(PlannedEvent(stroke.span, "strum", (stroke,), chord) for stroke in row)
    return _join_unread(events)


def _key_of_run(item: tuple[PlannedStroke, ReadChord | None]) -> tuple[ReadChord | None, bool, int | None]:
    """Return the chord of a stroke, whether strings of a chord were picked, and if so in which bar."""
    stroke, chord = item
    is_picked = chord is not None and chord.event_kind == "strum" and stroke.kind in PICKED
    return chord, is_picked, stroke.position.bar if is_picked and stroke.position is not None else None


def _plan_event(stroke: PlannedStroke, chord: ReadChord | None) -> PlannedEvent:
    kind = "hit" if chord is None else chord.event_kind
    is_struck_only = kind == "unread" and stroke.sustain_db < STRUCK_ONLY_DB
    if kind == "hit" or stroke.kind == "muted" or is_struck_only:
        return PlannedEvent(stroke.span, "hit", (replace(stroke, kind="muted", midis=()),), chord)
    return PlannedEvent(stroke.span, kind, () if kind == "unread" else (stroke,), chord)


def _join_unread(events: list[PlannedEvent]) -> list[PlannedEvent]:
    """Join what could not be read, one stroke after another, where it is the same that sounds."""
    joined: list[PlannedEvent] = []
    for event in events:
        before = joined[-1] if joined else None
        if before is not None and event.kind == before.kind == "unread" and event.chord is before.chord:
            joined[-1] = replace(before, span=TimeSpan(before.span.start_s, event.span.end_s))
        else:
            joined.append(event)
    return joined


def _find_rests(heard: PartEvidence) -> list[PlannedEvent]:
    """Find rests, and sound before the first stroke that no stroke explains."""
    onsets_s = heard.onsets_s
    rests = [
        PlannedEvent(span, "silence")
        for span in heard.quiet
        if span.end_s - span.start_s >= REST_S
        and not ((onsets_s >= span.start_s) & (onsets_s < span.end_s - 0.1)).any()
    ]
    first_s = float(onsets_s[0]) if len(onsets_s) else heard.span.end_s
    begin_s = heard.span.start_s
    sounding_from_s = next((span.end_s for span in heard.quiet if span.start_s <= begin_s + 0.11), begin_s)
    if first_s - sounding_from_s >= UNREAD_S:
        rests.append(PlannedEvent(TimeSpan(sounding_from_s, first_s), "unread"))
    return rests
