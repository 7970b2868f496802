"""The part document, read: what a person may have edited by hand is checked value by value.

A wrong value is refused in one sentence that says where it stands and what it takes; nothing is repaired silently.
What can be worked out from other fields (``text`` of a position, ``harte`` of a name, ``key`` beside ``keys``) is not
read back, so that editing one field is enough.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from typing import get_args

from listen.document.cursor import LONGEST_NAME, Cursor
from listen.document.format import Document
from listen.document.part_checks import check_part
from listen.document.value_parser import (
    parse_frets,
    parse_name,
    parse_note,
    parse_pitch,
    parse_probability,
    parse_shape_reading,
)
from listen.errors import ListenError
from listen.evidence import Direction, StrumEvidence, TimeSpan, TuningPoint
from listen.instrument import Fretboard, Shape, Tuning
from listen.reading import (
    STEPS_PER_BEAT,
    ChordName,
    ChordSpan,
    Corrected,
    Correction,
    Event,
    EventKind,
    GridPosition,
    HandPath,
    Mark,
    Metre,
    Part,
    PartKey,
    PathDifference,
    PatternStroke,
    Pin,
    PlayedNote,
    SetupHypothesis,
    ShapeReading,
    Stroke,
    StrokeKind,
    StrummingPattern,
    StrumReading,
)
from listen.theory import Note, Pitch

_EVENT_KINDS: tuple[EventKind, ...] = get_args(EventKind)
_STROKE_KINDS: tuple[StrokeKind, ...] = get_args(StrokeKind)
_MARKS: tuple[Mark, ...] = get_args(Mark)
_DIRECTIONS: tuple[Direction, ...] = get_args(Direction)
_CORRECTED: tuple[Corrected, ...] = get_args(Corrected)
_SECONDS = (-60.0, 1e6)  # a bar may begin before the recording; eleven days: none is longer
_CENTS = (-1200.0, 1200.0)
_DECIBELS = (-200.0, 200.0)
_COST = (-1e4, 1e4)
_TOTAL = (-1e9, 1e9)  # of all moves of a part
_LATE_S = (-60.0, 60.0)
_STEPS = (0, 32 * STEPS_PER_BEAT - 1)
_BEAT = re.compile(r"[1-9]\d?(?:\.\d{1,6})?|[1-9]\d{0,5}/[1-9]\d{0,5}")
_BARS = (-1_000_000, 1_000_000)
_FREE_PITCH: frozenset[Mark] = frozenset({"natural harmonic", "bend", "slide"})  # sounds other than where it is stopped


def document_to_part(document: Document, *, name: str) -> Part:
    """Convert a part document.

    Parameters
    ----------
    document : dict
        Of the present version, see :func:`listen.document.update_document`.
    name : str
        What the user calls it, for errors.

    Raises
    ------
    DocumentError
        A value is missing or wrong; the sentence says where.
    """
    top = Cursor(document, name)
    fretboard = _fretboard(top)
    rows = [
        (cursor.integer("number", 1), cursor)
        for cursor in (*top.each("strums", "strum"), *top.each("other_events", "other event"))
    ]
    rows.sort(key=lambda row: row[0])
    index_of = {number: index for index, (number, _) in enumerate(rows)}
    if len(index_of) < len(rows):
        twice = next(second for (first, _), (second, _) in pairwise(rows) if first == second)
        raise top.refuse(f"two events have the number {twice}.")
    chords = top.each("chords", "chord")
    span_s = _span_of(top)
    metre = top.maybe("metre")
    pattern, path = top.maybe("pattern"), top.maybe("path")
    key = top.maybe("key")
    part = Part(
        fretboard=fretboard,
        span=span_s,
        duration_s=top.number("duration_s", 0, _SECONDS[1]),
        events=tuple(_event(cursor, fretboard, n_chords=len(chords)) for _, cursor in rows),
        spans=tuple(_chord_span(cursor, fretboard, index_of) for cursor in chords),
        setups=tuple(_setup(cursor) for cursor in top.each("settings", "setting")),
        tuning_offset_cents=top.number("tuning_offset_cents", *_CENTS),
        tuning_drift=tuple(
            TuningPoint(at.number("time_s", *_SECONDS), at.number("offset_cents", *_CENTS))
            for at in top.each("tuning_drift", "tuning point")
        ),
        keys=tuple(_key(cursor) for cursor in top.each("keys", "key")),
        metre=None if metre is None else _metre(metre),
        metres=tuple(_metre(cursor) for cursor in top.each("metres", "metre")),
        beats_s=_rising(top, "beats_s"),
        bars_s=_rising(top, "bars_s"),
        first_bar=top.integer("first_bar", *_BARS, default=1),
        pattern=None if pattern is None else _pattern(pattern),
        path=None if path is None else _path(path, fretboard, n_chords=len(chords)),
        pins=tuple(_pin(cursor, fretboard) for cursor in top.each("pins", "pin")),
        corrections=tuple(_correction(cursor) for cursor in top.each("corrections", "correction")),
        source=top.text("file", longest=LONGEST_NAME),
        channel=top.text("channel", "mix"),
        complete=top.flag("complete", default=True),
        warnings=top.texts("warnings"),
    )
    check_part(part, top=top, key=None if key is None else _key(key))
    return part


def _rising(top: Cursor, key: str) -> tuple[float, ...]:
    times = top.numbers(key, *_SECONDS)
    for number, (before, after) in enumerate(pairwise(times), start=2):
        if after <= before:
            raise top.refuse(
                f"{key.removesuffix('_s')} {number} begins at {after:g} s, which is not after {before:g} s."
            )
    return times


def _fretboard(cursor: Cursor) -> Fretboard:
    words = cursor.text("tuning").split()
    try:
        companions = tuple(
            None if item.value is None else item.as_integer() for item in cursor.each("companions", "companion")
        )
        tuning = Tuning(cursor.text("tuning_name", "custom"), tuple(Pitch.parse(word) for word in words), companions)
        return Fretboard(
            tuning,
            cursor.integer("n_frets", default=22),
            cursor.integer("capo_fret"),
            cursor.number("scale_length_mm", default=648.0),
        )
    except ListenError as error:
        raise cursor.explain(error) from error


def _setup(cursor: Cursor) -> SetupHypothesis:
    return SetupHypothesis(
        _fretboard(cursor),
        cursor.number("tuning_offset_cents", *_CENTS),
        parse_probability(cursor),
        cursor.text("text", ""),
        cursor.texts("reasons"),
        cursor.flag("told", default=False),
    )


def _span_of(cursor: Cursor, key: str = "span_s") -> TimeSpan:
    ends = cursor.numbers(key, *_SECONDS)
    if len(ends) != 2:
        raise cursor.refuse(f'"{key}" takes a start and an end in seconds.')
    return TimeSpan(*ends)


def _start_and_end(cursor: Cursor) -> TimeSpan:
    span = TimeSpan(cursor.number("start_s", *_SECONDS), cursor.number("end_s", *_SECONDS))
    if span.end_s < span.start_s:
        raise cursor.refuse(f"it ends at {span.end_s:g} s, before it starts at {span.start_s:g} s.")
    return span


def _key(cursor: Cursor) -> PartKey:
    tonic = cursor.at("tonic")
    try:
        note = Note.parse(tonic.as_text())
    except ListenError as error:
        raise tonic.explain(error) from error
    return PartKey(note, cursor.choice("mode", ("major", "minor")), parse_probability(cursor))


def _metre(cursor: Cursor) -> Metre:
    return Metre(
        cursor.integer("beats_per_bar", 1, 32),
        cursor.integer("beat_unit", 1, 32),
        cursor.integer("division", 1, 12),
        cursor.number("tempo_bpm", 1, 1000),
        cursor.number("swing", 0, 1, default=0.5),
        cursor.integer("pickup_steps", *_STEPS, default=0),
        parse_probability(cursor),
    )


def _pattern(cursor: Cursor) -> StrummingPattern:
    strokes = tuple(
        PatternStroke(
            at.integer("step", *_STEPS),
            _direction(at),
            at.choice("kind", _STROKE_KINDS),
            at.flag("accent", default=False),
        )
        for at in cursor.each("strokes", "stroke")
    )
    bars = tuple(at.as_integer(*_BARS) for at in cursor.each("bars", "bar"))
    return StrummingPattern(strokes, bars, cursor.number("share", 0, 1))


def _path(cursor: Cursor, fretboard: Fretboard, *, n_chords: int) -> HandPath:
    hardest = cursor.maybe("hardest_chord")
    return HandPath(
        cursor.number("total_cost", *_TOTAL),
        cursor.number("hardest_cost", *_COST),
        None if hardest is None else hardest.as_integer(1, n_chords) - 1,
        cursor.number("gentlest_total_cost", *_TOTAL),
        cursor.number("gentlest_hardest_cost", *_COST),
        tuple(
            PathDifference(
                at.integer("chord", 1, n_chords) - 1,
                parse_shape_reading(at.at("cheapest"), fretboard),
                parse_shape_reading(at.at("gentlest"), fretboard),
            )
            for at in cursor.each("differences", "difference")
        ),
    )


def _pin(cursor: Cursor, fretboard: Fretboard) -> Pin:
    shape = Shape(parse_frets(cursor, fretboard))
    bar = cursor.maybe("bar")
    if bar is None:
        return Pin(shape, cursor.integer("event", 1, _BARS[1]))
    beat = cursor.maybe("beat")
    if beat is None:
        return Pin(shape, bar=bar.as_integer(*_BARS))
    text = str(beat.value) if isinstance(beat.value, str | float) else str(beat.as_integer(1, 32))
    if not _BEAT.fullmatch(text):
        raise beat.refuse(f'"{text[:20]}" is no beat; write 3 or 5/2.')
    counted = Fraction(text)
    if not 1 <= counted < 33 or counted.denominator > STEPS_PER_BEAT * 1000:
        raise beat.refuse(f'"{beat.value}" is no beat; they count from 1.')
    return Pin(shape, bar=bar.as_integer(*_BARS), beat=counted)


def _correction(cursor: Cursor) -> Correction:
    what = cursor.choice("what", _CORRECTED)
    event = cursor.at("event") if what in ("name", "section", "lyrics") else cursor.maybe("event")
    return Correction(what, cursor.text("value"), None if event is None else event.as_integer(1, _BARS[1]))


def _chord_span(cursor: Cursor, fretboard: Fretboard, index_of: dict[int, int]) -> ChordSpan:
    events = []
    for key in ("first_event", "last_event"):
        number = cursor.integer(key, 1)
        if number not in index_of:
            raise cursor.refuse(f"there is no event {number}.")
        events.append(index_of[number])
    bass = cursor.maybe("bass")
    names = tuple(parse_name(at) for at in cursor.each("names", "name"))
    shapes = tuple(parse_shape_reading(at, fretboard) for at in cursor.each("shapes", "shape"))
    return ChordSpan(
        _start_and_end(cursor),
        events[0],
        events[1],
        names[0] if names else None,
        names,
        tuple(parse_note(at) for at in cursor.each("notes", "note")),
        None if bass is None else parse_note(bass),
        shapes[0] if shapes else None,
        shapes,
        _position(cursor),
        cursor.choices("marks", _MARKS),
        cursor.flag("pinned", default=False),
        cursor.text("remark", ""),
    )


def _event(cursor: Cursor, fretboard: Fretboard, *, n_chords: int) -> Event:
    number = cursor.integer("number", 1)
    cursor = Cursor(cursor.value, cursor.name, (f"event {number}",))
    chord = cursor.maybe("chord")
    names = tuple(parse_name(at) for at in cursor.each("names", "name"))
    shapes = tuple(parse_shape_reading(at, fretboard) for at in cursor.each("shapes", "shape"))
    held = cursor.maybe("held") or Cursor({}, cursor.name, cursor.address)
    alone = cursor.maybe("alone")
    if alone is None:
        _look_over(cursor)
    return Event(
        _start_and_end(cursor),
        cursor.choice("kind", _EVENT_KINDS),
        tuple(_stroke(at, fretboard) for at in cursor.each("strokes", "stroke")),
        _position(cursor),
        None if alone is None else _alone(alone, cursor, fretboard, names, shapes),
        shapes[0] if shapes and held.flag("shape", default=True) else None,
        names[0] if names and held.flag("name", default=True) else None,
        number,
        None if chord is None else chord.as_integer(1, n_chords) - 1,
        cursor.choices("marks", _MARKS),
        cursor.text("remark", ""),
    )


def _look_over(event: Cursor) -> None:
    """Check what is worked out again from the strokes where an event was not read by itself."""
    bass, refused = event.maybe("bass"), event.maybe("refused")
    for note in (*event.each("notes", "note"), *([] if bass is None else [bass])):
        parse_note(note)
    if refused is not None:
        refused.as_text()
    _span_of(event)
    event.number("tuning_offset_cents", *_CENTS)


def _alone(
    alone: Cursor, event: Cursor, fretboard: Fretboard, names: tuple[ChordName, ...], shapes: tuple[ShapeReading, ...]
) -> StrumReading:
    own_names = tuple(parse_name(at) for at in alone.each("names", "name"))
    own_shapes = tuple(parse_shape_reading(at, fretboard) for at in alone.each("shapes", "shape"))
    bass, refused, reason = event.maybe("bass"), event.maybe("refused"), alone.maybe("no_chord_reason")
    evidence = StrumEvidence(
        _span_of(event),
        (),
        event.number("tuning_offset_cents", *_CENTS),
        _direction(alone),
        None if reason is None else reason.as_text(),
    )
    return StrumReading(
        evidence,
        fretboard,
        tuple(parse_note(at) for at in event.each("notes", "note")),
        None if bass is None else parse_note(bass),
        (own_names or names) if alone.flag("named", default=True) else (),
        (own_shapes or shapes) if alone.flag("shaped", default=True) else (),
        None if refused is None else refused.as_text(),
    )


def _direction(cursor: Cursor) -> Direction | None:
    return None if cursor.maybe("direction") is None else cursor.choice("direction", _DIRECTIONS)


def _stroke(cursor: Cursor, fretboard: Fretboard) -> Stroke:
    return Stroke(
        _start_and_end(cursor),
        cursor.choice("kind", _STROKE_KINDS),
        tuple(_played(at, fretboard) for at in cursor.each("notes", "note")),
        _direction(cursor),
        cursor.number("direction_probability", 0, 1, default=0.5),
        cursor.number("level_db", *_DECIBELS, default=0.0),
        _position(cursor),
        cursor.choices("marks", _MARKS),
    )


def _played(cursor: Cursor, fretboard: Fretboard) -> PlayedNote:
    pitch = parse_pitch(cursor)
    span = _start_and_end(cursor)
    string, fret = cursor.maybe("string"), cursor.maybe("fret")
    marks = cursor.choices("marks", _MARKS)
    index = None if string is None else fretboard.n_strings - string.as_integer(1, fretboard.n_strings)
    stopped = None if fret is None else fret.as_integer(0, fretboard.top_fret)
    if index is not None and stopped is not None and not _FREE_PITCH & set(marks):
        sounding = fretboard.pitch_at(index, stopped)
        if sounding != pitch:
            raise cursor.refuse(
                f"string {fretboard.n_strings - index} at fret {stopped} sounds {sounding.name}, but the note is "
                f"{pitch.name}; put one of them right."
            )
    return PlayedNote(
        pitch,
        span.start_s,
        span.end_s,
        cursor.number("probability", 0, 1, default=1.0),
        index,
        stopped,
        cursor.number("level_db", *_DECIBELS, default=0.0),
        marks,
    )


def _position(cursor: Cursor) -> GridPosition | None:
    at = cursor.maybe("position")
    return (
        None
        if at is None
        else GridPosition(
            at.integer("bar", *_BARS), at.integer("step", *_STEPS), at.number("deviation_s", *_LATE_S, default=0.0)
        )
    )
