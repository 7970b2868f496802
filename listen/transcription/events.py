"""From strokes to events: strums, picked patterns, lines, hits, rests, and what could not be read."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from listen.evidence import Direction, TimeSpan
from listen.reading import EventKind, GridPosition, Mark, Stroke, StrokeKind
from listen.transcription.grid import Grid
from listen.transcription.heard_part import HeardPart
from listen.transcription.held_chords import HeldChord
from listen.transcription.struck import StruckStrings, find_struck, tell_directions

LEAST_PICKED = 3  # single strings in a row, inside one chord, are a picked pattern
REST_S = 0.6
PALM_SUSTAIN_DB = -6.5
PALM_LESS_DB, PALM_LEAST_DB = 3.5, -5.0
"""How far a stroke under the palm falls in a tenth of a second, in any case and against what is usual in the part.
Rendered ones fall by 6 to 7 dB (electric), 10 (steel) or 12 (nylon), open ones by 1 to 3; of 3,417 open strokes of
other sounds, some of which fall by 6, 42 would be marked. The median of three strokes is asked."""
ACCENT_DB, NEAR_STROKES = 4.0, 8
STRUCK_ONLY_DB = -6.0  # what the ear refuses, and falls by so much in a tenth of a second, is a knock or a drum
UNREAD_S = 2.0  # sound without a stroke for so long before the first one is worth a mark
FOOT_SHARE = 0.34  # of a chord's pitches from below: a single string among them is its bass


@dataclass(frozen=True, slots=True)
class PlannedStroke:
    """A stroke before its strings are known.

    Parameters
    ----------
    place : int
        Index of the heard stroke.
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

    place: int
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


@dataclass(frozen=True, slots=True)
class PlannedEvent:
    """An event before shapes are known.

    Parameters
    ----------
    span : TimeSpan
    kind : EventKind
    strokes : tuple of PlannedStroke
    chord : int or None
        Index of the held chord.
    """

    span: TimeSpan
    kind: EventKind
    strokes: tuple[PlannedStroke, ...] = ()
    chord: int | None = None


def plan_events(
    heard: HeardPart,
    chords: list[HeldChord],
    kinds: list[frozenset[int]],
    unnamed: dict[int, EventKind],
    grid: Grid | None,
) -> list[PlannedEvent]:
    """Plan the events of a part, in time order.

    Parameters
    ----------
    heard : HeardPart
    chords : list of HeldChord
    kinds : list of frozenset of int
        MIDI numbers of each kind of chord.
    unnamed : dict of int to EventKind
        Kinds of chord that are none: ``"line"`` for single notes, ``"unread"`` where the ear refused.
    grid : Grid or None
    """  # fmt: skip
    chord_of = _find_chords(heard, chords)
    held = [
        [] if stroke.onset.is_hit or chord is None else sorted(kinds[chords[chord].kind])
        for stroke, chord in zip(heard.strokes, chord_of, strict=True)
    ]
    places = None if grid is None else grid.places
    picked: list[frozenset[int] | None] = [None] * len(heard.strokes)
    for stretch in heard.stretches:
        if stretch.is_picked and stretch.first == stretch.last:
            picked[stretch.first] = stretch.sounding
    struck = find_struck(heard.strokes, held, picked, places)
    directions = tell_directions(heard.strokes, struck, grid)
    strokes = _plan_strokes(heard, chords, kinds, chord_of, struck, directions, grid)
    events = _gather(strokes, chord_of, chords, unnamed)
    events.extend(_find_rests(heard))
    return sorted(events, key=lambda event: event.span.start_s)


def _find_chords(heard: HeardPart, chords: list[HeldChord]) -> list[int | None]:
    """Return which chord is held at each stroke; a hit between two chords belongs to the one before it."""
    chord_of: list[int | None] = [None] * len(heard.strokes)
    for number, chord in enumerate(chords):
        for place in range(heard.stretches[chord.first].first, heard.stretches[chord.last].last + 1):
            chord_of[place] = number
    for place in range(1, len(chord_of)):
        if chord_of[place] is None:
            chord_of[place] = chord_of[place - 1]
    return chord_of


def _plan_strokes(
    heard: HeardPart,
    chords: list[HeldChord],
    kinds: list[frozenset[int]],
    chord_of: list[int | None],
    struck: list[StruckStrings | None],
    directions: list[tuple[Direction | None, float]],
    grid: Grid | None,
) -> list[PlannedStroke]:
    loudest = max((stroke.onset.level_db for stroke in heard.strokes), default=0.0)
    marks = _mark_strokes(heard)
    planned = []
    for place, stroke in enumerate(heard.strokes):
        onset_s = stroke.onset.onset_s
        following = heard.strokes[place + 1].onset.onset_s if place + 1 < len(heard.strokes) else np.inf
        number, run = chord_of[place], struck[place]
        until = heard.stretches[chords[number].last].span.end_s if number is not None else onset_s + 0.1
        end_s = min(following, until if run is not None else onset_s + 0.1)
        midis = sorted(kinds[chords[number].kind]) if number is not None else []
        position = None if grid is None else grid.positions[place]
        planned.append(
            PlannedStroke(
                place, TimeSpan(onset_s, max(end_s, onset_s + 0.02)), _kind_of(run),
                () if run is None else tuple(midis[run.first : run.last + 1]),
                *directions[place], stroke.onset.level_db - loudest, position,
                stroke.onset.sustain_db, marks[place],
            )
        )  # fmt: skip
    return planned


def _mark_strokes(heard: HeardPart) -> list[tuple[Mark, ...]]:
    """Mark strokes that stand out from their neighbours, and those under the palm: pitched, but soon gone."""
    levels = np.array([stroke.onset.level_db for stroke in heard.strokes])
    sustains = np.array([stroke.onset.sustain_db for stroke in heard.strokes])
    pitched = [stroke.onset.sustain_db for stroke in heard.strokes if not stroke.onset.is_hit]
    usual_db = float(np.quantile(pitched, 0.75)) if pitched else 0.0
    palm_db = max(PALM_SUSTAIN_DB, min(PALM_LEAST_DB, usual_db - PALM_LESS_DB))
    marks = []
    for place, stroke in enumerate(heard.strokes):
        near = slice(max(0, place - NEAR_STROKES), place + NEAR_STROKES + 1)
        row = slice(max(0, place - 1), place + 2)
        found: list[Mark] = []
        if not stroke.onset.is_hit and float(np.median(sustains[row])) < palm_db:
            found.append("palm mute")
        if levels[place] > float(np.median(levels[near])) + ACCENT_DB:
            found.append("accent")
        marks.append(tuple(found))
    return marks


def _kind_of(run: StruckStrings | None) -> StrokeKind:
    if run is None:
        return "muted"
    if run.is_single:
        return "bass" if run.last < max(1.0, FOOT_SHARE * run.n_pitches) else "single"
    return "top" if run.is_top else "full"


def _gather(
    strokes: list[PlannedStroke], chord_of: list[int | None], chords: list[HeldChord], unnamed: dict[int, EventKind]
) -> list[PlannedEvent]:
    """Gather strokes into events: runs of single strings in one bar of one chord are one picked pattern."""
    events: list[PlannedEvent] = []
    run: list[PlannedStroke] = []

    def close() -> None:
        if not run:
            return
        chord = chord_of[run[0].place]
        if len(run) >= LEAST_PICKED:
            events.append(PlannedEvent(TimeSpan(run[0].span.start_s, run[-1].span.end_s), "picked", tuple(run), chord))
        else:
            events.extend(PlannedEvent(one.span, "strum", (one,), chord) for one in run)
        run.clear()

    for stroke in strokes:
        number = chord_of[stroke.place]
        kind = unnamed.get(chords[number].kind) if number is not None else "hit"
        if stroke.kind in ("bass", "single") and kind is None:
            if run and (chord_of[run[0].place] != number or _bar_of(run[0]) != _bar_of(stroke)):
                close()
            run.append(stroke)
            continue
        close()
        if stroke.kind == "muted" or (kind == "unread" and stroke.sustain_db < STRUCK_ONLY_DB):
            events.append(PlannedEvent(stroke.span, "hit", (replace(stroke, kind="muted", midis=()),), number))
        elif kind == "unread" and events and events[-1].kind == "unread" and events[-1].chord == number:
            events[-1] = replace(events[-1], span=TimeSpan(events[-1].span.start_s, stroke.span.end_s))
        elif kind == "unread":
            events.append(PlannedEvent(stroke.span, "unread", (), number))
        else:
            events.append(PlannedEvent(stroke.span, kind or "strum", (stroke,), number))
    close()
    return events


def _bar_of(stroke: PlannedStroke) -> int | None:
    return None if stroke.position is None else stroke.position.bar


def _find_rests(heard: HeardPart) -> list[PlannedEvent]:
    """Find rests, and sound before the first stroke that no stroke explains."""
    rests = [PlannedEvent(span, "silence") for span in heard.quiet if span.end_s - span.start_s >= REST_S]
    onsets = np.array([stroke.onset.onset_s for stroke in heard.strokes])
    rests = [rest for rest in rests if not ((onsets >= rest.span.start_s) & (onsets < rest.span.end_s - 0.1)).any()]
    first = float(onsets[0]) if len(onsets) else heard.read_until_s
    sounding_from = next((span.end_s for span in heard.quiet if span.start_s <= heard.begin_s + 0.11), heard.begin_s)
    if first - sounding_from >= UNREAD_S:
        rests.append(PlannedEvent(TimeSpan(sounding_from, first), "unread"))
    return rests
