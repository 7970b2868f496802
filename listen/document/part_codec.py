"""The fields of a part document but its events and chords: setup, key, metre, pattern, path, what a person settled.

What can be worked out from other fields (``text`` of a position, ``signature`` of a metre) is not read back, so that
editing one field is enough.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from typing import Any, get_args

from listen.document.codec import (
    Field,
    Form,
    Inline,
    Record,
    choice,
    flag,
    integer,
    listed,
    made_of,
    nullable,
    number,
    text,
)
from listen.document.cursor import Cursor
from listen.document.name_codec import CENTS, SHARE
from listen.document.shape_codec import FRETS, SHAPE
from listen.errors import ListenError
from listen.evidence import Direction, TimeSpan, TuningPoint
from listen.instrument import Fretboard, Shape, Tuning
from listen.reading import (
    STEPS_PER_BEAT,
    Corrected,
    Correction,
    GridPosition,
    HandPath,
    Metre,
    PartKey,
    PathDifference,
    PatternStroke,
    Pin,
    SetupHypothesis,
    StrokeKind,
    StrummingPattern,
)
from listen.theory import Note, Pitch

SECONDS = (-60.0, 1e6)  # a bar may begin before the recording; eleven days: none is longer
BARS = (-1_000_000, 1_000_000)
MOST_EVENTS = 1_000_000
_COST = (-1e4, 1e4)
_TOTAL = (-1e9, 1e9)  # of all moves of a part
_LATE_S = (-60.0, 60.0)
_STEPS = (0, 32 * STEPS_PER_BEAT - 1)
_BEAT = re.compile(r"[1-9]\d?(?:\.\d{1,6})?|[1-9]\d{0,5}/[1-9]\d{0,5}")
_AT_AN_EVENT = ("name", "section", "lyrics")

DIRECTION = choice(*get_args(Direction), or_null=True)
STROKE_KIND = choice(*get_args(StrokeKind))


def _read_span(cursor: Cursor, _: object) -> TimeSpan:
    ends = [at.as_number(*SECONDS) for at in cursor.items(cursor.address[-1])]
    if len(ends) != 2:
        raise cursor.outside().refuse(f'"{cursor.address[-1]}" takes a start and an end in seconds.')
    return TimeSpan(*ends)


SPAN = Form(
    {"type": "array", "items": number(*SECONDS).schema, "minItems": 2, "maxItems": 2},
    _read_span,
    lambda span, _: [float(span.start_s), float(span.end_s)],
)


def _make_span(values: dict[str, Any], cursor: Cursor, _: object) -> TimeSpan:
    span = TimeSpan(**values)
    if span.end_s < span.start_s:
        raise cursor.refuse(f"it ends at {span.end_s:g} s, before it starts at {span.start_s:g} s.")
    return span


START_AND_END = Record((Field("start_s", number(*SECONDS)), Field("end_s", number(*SECONDS))), _make_span)


def _read_rising(cursor: Cursor, _: object) -> tuple[float, ...]:
    key = cursor.address[-1]
    times = tuple(at.as_number(*SECONDS) for at in cursor.items(key))
    for number_, (before, after) in enumerate(pairwise(times), start=2):
        if after <= before:
            raise cursor.outside().refuse(
                f"{key.removesuffix('_s')} {number_} begins at {after:g} s, which is not after {before:g} s."
            )
    return times


RISING = Form(
    {"type": "array", "items": number(*SECONDS).schema},
    _read_rising,
    lambda times, _: [float(time) for time in times],
)

POSITION = Record(
    (
        Field("text", text(), "Bar and beat, for reading only.", is_read=False),
        Field("bar", integer(*BARS), "1 the first full bar, 0 a pickup."),
        Field("step", integer(*_STEPS), "Twelfths of a beat from the bar line."),
        Field("deviation_s", number(*_LATE_S), "How much later than the grid it was played.", default=0.0),
    ),
    made_of(GridPosition),
)
AT_POSITION = nullable(POSITION.form("position"))


def _make_fretboard(values: dict[str, Any], cursor: Cursor, _: object) -> Fretboard:
    try:
        pitches = tuple(Pitch.parse(word) for word in values["tuning.text"].split())
        tuning = Tuning(values["tuning.name"], pitches, values["tuning.companions"])
        return Fretboard(tuning, values["n_frets"], values["capo_fret"], values["scale_length_mm"])
    except ListenError as error:
        raise cursor.explain(error) from error


_COMPANION = Form(
    {"type": ["integer", "null"]}, lambda cursor, _: None if cursor.value is None else cursor.as_integer()
)
FRETBOARD = Record(
    (
        Field("tuning", text(), "Open strings, highest-numbered string first.", name="tuning.text"),
        Field("tuning_name", text(), name="tuning.name", default="custom"),
        Field("capo_fret", Form({"type": "integer", "minimum": 0}, integer().read)),
        Field("n_frets", integer(), default=22),
        Field("scale_length_mm", number(), default=648.0),
        Field(
            "companions", listed(_COMPANION, "companion"), "Semitones of the second string of each course.",
            name="tuning.companions", default=(), is_sparse=True,
        ),
    ),
    _make_fretboard,
)  # fmt: skip

SETUP = Record(
    (
        Field("text", text(), default=""),
        Inline("fretboard", FRETBOARD),
        Field("tuning_offset_cents", number(*CENTS)),
        Field("probability", SHARE),
        Field("reasons", listed(text()), default=()),
        Field("told", flag(), default=False),
    ),
    made_of(SetupHypothesis),
)
TUNING_POINT = Record((Field("time_s", number(*SECONDS)), Field("offset_cents", number(*CENTS))), made_of(TuningPoint))


def _read_tonic(cursor: Cursor, _: object) -> Note:
    try:
        return Note.parse(cursor.as_text())
    except ListenError as error:
        raise cursor.explain(error) from error


KEY = Record(
    (
        Field("tonic", Form({"type": "string"}, _read_tonic, lambda tonic, _: str(tonic))),
        Field("mode", choice("major", "minor")),
        Field("probability", SHARE),
    ),
    made_of(PartKey),
)
METRE = Record(
    (
        Field("signature", text(), is_read=False),
        Field("beats_per_bar", integer(1, 32), "As it is felt: 2 for 6/8."),
        Field("beat_unit", integer(1, 32)),
        Field("division", integer(1, 12)),
        Field("tempo_bpm", number(1, 1000)),
        Field("swing", SHARE, default=0.5),
        Field("pickup_steps", integer(*_STEPS), default=0),
        Field("probability", SHARE),
    ),
    made_of(Metre),
)
PATTERN_STROKE = Record(
    (
        Field("step", integer(*_STEPS)),
        Field("direction", DIRECTION, default=None, is_needed=True),
        Field("kind", STROKE_KIND),
        Field("accent", flag(), default=False, is_needed=True),
    ),
    made_of(PatternStroke),
)
PATTERN = Record(
    (
        Field("share", SHARE),
        Field("bars", listed(integer(*BARS), "bar"), default=(), is_needed=True),
        Field("strokes", listed(PATTERN_STROKE.form(), "stroke"), default=(), is_needed=True),
    ),
    made_of(StrummingPattern),
)

CHORD_NUMBER = Form(
    {"type": "integer", "minimum": 1},
    lambda cursor, context: cursor.as_integer(1, context.n_chords) - 1,
    lambda index, _: index + 1,
)
"""A chord of the part: counted from 1 in the document, from 0 in its value."""
DIFFERENCE = Record(
    (
        Field("chord", CHORD_NUMBER, name="span_index"),
        Field("cheapest", SHAPE.form("shape")),
        Field("gentlest", SHAPE.form("shape")),
    ),
    made_of(PathDifference),
)
PATH = Record(
    (
        Field("total_cost", number(*_TOTAL)),
        Field("hardest_cost", number(*_COST)),
        Field("hardest_chord", nullable(CHORD_NUMBER), name="hardest_span", default=None, is_needed=True),
        Field("gentlest_total_cost", number(*_TOTAL)),
        Field("gentlest_hardest_cost", number(*_COST)),
        Field("differences", listed(DIFFERENCE.form(), "difference"), default=(), is_needed=True),
    ),
    made_of(HandPath),
)


def _take_pin(pin: Pin, _: object) -> dict[str, Any]:
    place = (pin.event_number, None, None) if pin.bar is None else (None, pin.bar, pin.beat)
    return {"text": pin.text, **dict(zip(("event", "bar", "beat"), place, strict=True)), "frets": pin.shape.frets}


def _make_pin(values: dict[str, Any], cursor: Cursor, _: object) -> Pin:
    shape, bar, beat = Shape(values["frets"]), values["bar"], values["beat"]
    if bar is None:
        return Pin(shape, cursor.integer("event", 1, MOST_EVENTS))
    return Pin(shape, bar=bar) if beat is None else Pin(shape, bar=bar, beat=beat)


def _read_beat(cursor: Cursor, _: object) -> Fraction:
    value = cursor.value
    told = str(value) if isinstance(value, str | float) else str(cursor.as_integer(1, 32))
    if not _BEAT.fullmatch(told):
        raise cursor.refuse(f'"{told[:20]}" is no beat; write 3 or 5/2.')
    counted = Fraction(told)
    if not 1 <= counted < 33 or counted.denominator > STEPS_PER_BEAT * 1000:
        raise cursor.refuse(f'"{value}" is no beat; they count from 1.')
    return counted


PIN = Record(
    (
        Field("text", text(), is_read=False),
        Field("event", integer(1, MOST_EVENTS), is_sparse=True, is_read=False),
        Field("bar", integer(*BARS), default=None, is_sparse=True),
        Field(
            "beat", Form({"type": ["string", "number"]}, _read_beat, lambda beat, _: str(beat)),
            "From 1; 5/2 is half a beat after the second.", default=None, is_sparse=True,
        ),
        Field("frets", FRETS),
    ),
    _make_pin,
    take=_take_pin,
)  # fmt: skip


def _make_correction(values: dict[str, Any], cursor: Cursor, _: object) -> Correction:
    if values["event_number"] is None and values["what"] in _AT_AN_EVENT:
        cursor.at("event").as_integer(1, MOST_EVENTS)
    return Correction(**values)


CORRECTION = Record(
    (
        Field("what", choice(*get_args(Corrected))),
        Field("value", text()),
        Field("event", integer(1, MOST_EVENTS), name="event_number", default=None, is_sparse=True),
    ),
    _make_correction,
)
