"""Write events down: the strings of each stroke, and how long they ring."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from listen.instrument import Fretboard, Shape
from listen.reading import PICKED, ChordSpan, Event, PlayedNote, ShapeReading, Stroke, StrokeKind, StrumReading
from listen.theory import Pitch
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import PlannedEvent, PlannedStroke
from listen.transcription.note_places import place_notes
from listen.transcription.spans import PlannedSpan
from listen.voicing import Place

LONGEST_RING_S = 6.0  # an open string rings about so long; judged


def write_events(
    planned: Sequence[PlannedEvent],
    spans: Sequence[PlannedSpan],
    written: Sequence[ChordSpan],
    fretboard: Fretboard,
    *,
    lines: Mapping[ReadChord, Shape],
) -> tuple[Event, ...]:
    """Write events with their notes on strings.

    Parameters
    ----------
    planned : sequence of PlannedEvent
    spans : sequence of PlannedSpan
    written : sequence of ChordSpan
        The spans as they are written, one for each.
    fretboard : Fretboard
    lines : dict of ReadChord to Shape
        Shapes that a person pinned to single notes.
    """
    index_of = {span.chord: index for index, span in enumerate(spans)}
    shape_of = {**lines, **{span.chord: one.shape.shape for span, one in zip(spans, written, strict=True) if one.shape}}
    held = [None if event.chord is None else shape_of.get(event.chord) for event in planned]
    places = place_notes(planned, held, fretboard)
    shown: dict[tuple[int, Shape | None], StrumReading] = {}
    events = []
    for place, event in enumerate(planned):
        index = None if event.chord is None else index_of.get(event.chord)
        span = None if index is None else written[index]
        holds_given = index is not None and (spans[index].pinned or event.number in spans[index].renamed)
        reading = None if event.chord is None or not event.strokes else event.chord.reading
        if reading is not None and span is not None:
            key = (id(reading), span.shape.shape if span.shape else None)
            reading = shown.setdefault(key, replace(reading, shapes=span.shapes))
        events.append(
            Event(
                span=event.span,
                kind=event.kind,
                strokes=tuple(
                    _write_stroke(stroke, span, reading, fretboard, at=at, holds_given=holds_given)
                    for stroke, at in zip(event.strokes, places[place], strict=True)
                ),
                position=event.strokes[0].position if event.strokes else None,
                reading=reading,
                shape=None if span is None else span.shape,
                name=None if span is None else span.name,
                number=event.number,
                span_index=index,
                marks=span.marks if span is not None and span.first_event == place else (),
                remark=_remark(event, reading),
            )
        )
    return _let_ring(tuple(events), written)


def _remark(event: PlannedEvent, reading: StrumReading | None) -> str:
    if event.kind == "unread":
        return (reading.refused if reading is not None else None) or "Something sounds here that could not be read."
    return ""


def _write_stroke(
    stroke: PlannedStroke,
    span: ChordSpan | None,
    reading: StrumReading | None,
    fretboard: Fretboard,
    *,
    at: Place | None = None,
    holds_given: bool = False,
) -> Stroke:
    """Write a stroke: `at` is the place of a single note.

    ``holds_given`` where a person gave the shape of its chord, by a pin or by another name.
    """
    chances = {note.pitch.midi: note.probability for note in (reading.notes if reading is not None else ())}
    shape = None if span is None else span.shape
    strings = _find_strings(shape, fretboard)
    midis = _list_given(stroke, strings, chances.keys()) if holds_given else stroke.midis
    if len(stroke.midis) == 1:
        strings = {} if at is None else {stroke.midis[0]: at}
    notes = []
    for midi in midis:
        string, fret = strings.pop(midi, (None, None))
        if string is None and strings and shape is not None:
            continue  # heard, but not on the path's shape: it stays in the reading
        notes.append(
            PlayedNote(
                Pitch(midi), stroke.span.start_s, stroke.span.end_s, chances.get(midi, 0.5), string, fret,
                stroke.level_db,
            )
        )  # fmt: skip
    return replace(stroke.to_stroke(), kind=_kind_of(stroke.kind, notes, fretboard), notes=tuple(notes))


def _kind_of(kind: StrokeKind, notes: Sequence[PlayedNote], fretboard: Fretboard) -> StrokeKind:
    """Return the kind of a stroke whose strings are known: one string that is picked is a low one or not."""
    if kind not in PICKED or len(notes) != 1:
        return kind
    string = notes[0].string_index
    return "bass" if string is not None and fretboard.is_low_string(string) else "single"


def _list_given(
    stroke: PlannedStroke, strings: Mapping[int, tuple[int, int]], read: Collection[int]
) -> tuple[int, ...]:
    """Return what a strum sounds under a shape that a person gave.

    Where others were heard, as many of its strings, of a pinch the lowest and the highest ones; all of them where all
    that was read of the chord is struck; the way back and part of a chord sound what was heard.
    """
    struck = set(stroke.midis)
    if len(struck) < 2:
        return stroke.midis
    if struck <= strings.keys():
        is_all = stroke.kind == "full" and stroke.direction != "up" and struck.issuperset(read)
        return tuple(sorted(strings)) if is_all else stroke.midis
    held = sorted(strings, key=lambda midi: strings[midi][0])
    if stroke.kind == "pinch":
        held = [*held[:1], *held[1:][1 - len(stroke.midis) :]]
    return tuple(sorted(held[-len(stroke.midis) :] if stroke.kind == "top" else held))


def _find_strings(shape: ShapeReading | None, fretboard: Fretboard) -> dict[int, tuple[int, int]]:
    """Return on which string, and at which fret, a shape sounds each pitch."""
    if shape is None:
        return {}
    places: dict[int, tuple[int, int]] = {}
    for string, fret in enumerate(shape.shape.frets):
        if fret is not None:
            places.setdefault(fretboard.pitch_at(string, fret).midi, (string, fret))
    return places


def _let_ring(events: tuple[Event, ...], spans: Sequence[ChordSpan]) -> tuple[Event, ...]:
    """Let each note ring until its string is used again, the hand lifts, a hit damps it, or it has died away."""
    stops: dict[int, float] = {}
    all_stop = float("inf")
    written = []
    for event in reversed(events):
        lifts = spans[event.span_index].span.end_s if event.span_index is not None else event.span.end_s
        strokes = []
        for stroke in reversed(event.strokes):
            notes = []
            for note in stroke.notes:
                stop = min(note.start_s + LONGEST_RING_S, all_stop)
                if note.string_index is not None:
                    stop = min(stop, stops.get(note.string_index, all_stop))
                if note.fret != 0 or event.kind == "line":
                    stop = min(stop, lifts)
                notes.append(replace(note, end_s=max(stop, note.start_s + 0.03)))
            for note in stroke.notes:
                if note.string_index is not None:
                    stops[note.string_index] = note.start_s
            strokes.append(replace(stroke, notes=tuple(notes)))
        if event.kind in ("hit", "silence"):
            all_stop = event.span.start_s
        written.append(replace(event, strokes=tuple(reversed(strokes))))
    return tuple(reversed(written))
