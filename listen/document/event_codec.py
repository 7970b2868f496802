"""Events and held chords of a part document: their fields, and what of a reading is told beside what holds.

``names`` of a strum begin with the name that holds while it sounds and its ``shapes`` with the one on the path; what it
was read as by itself stands under ``alone`` where that differs.
"""

from __future__ import annotations

from typing import Any, get_args

from listen.document.bars_codec import AT_POSITION, DIRECTION
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
from listen.document.name_codec import CENTS, NAME, NOTE
from listen.document.path_codec import CHORD_NUMBER
from listen.document.shape_codec import SHAPE
from listen.document.stroke_codec import MARKS, REMARK, STROKE, PartContext
from listen.document.time_codec import SPAN, START_AND_END
from listen.evidence import StrumEvidence
from listen.reading import ChordName, ChordSpan, Event, EventKind, NoteReading, StrumReading

NOTES, NAMES, SHAPES = (
    listed(NOTE.form("note"), "note"), listed(NAME.form("name"), "name"), listed(SHAPE.form("shape"), "shape")
)  # fmt: skip


def _led_by(first: Any, ranked: tuple[Any, ...]) -> tuple[Any, ...]:
    """Put the one that holds before the others, once."""
    if first is None or ranked[:1] == (first,):
        return ranked
    same = "chord" if isinstance(first, ChordName) else "shape"
    return (first, *(other for other in ranked if getattr(other, same) != getattr(first, same)))


EVENT_NUMBER = Form(
    {"type": "integer", "minimum": 1},
    lambda cursor, context: _find_event(cursor, context.index_of),
    lambda index, context: context.numbers[index],
)


def _find_event(cursor: Cursor, index_of: dict[int, int]) -> int:
    number_ = cursor.as_integer(1)
    if number_ not in index_of:
        raise cursor.outside().refuse(f"there is no event {number_}.")
    return index_of[number_]


CHORD = Record(
    (
        Inline("span", START_AND_END),
        Field("first_event", EVENT_NUMBER),
        Field("last_event", EVENT_NUMBER),
        Field("position", AT_POSITION, default=None),
        Field("pinned", flag(), "Whether a person chose the shape.", default=False),
        Field("notes", NOTES, default=()),
        Field("bass", nullable(NOTE.form("note")), default=None),
        Field("names", NAMES, default=(), is_needed=True),
        Field("shapes", SHAPES, default=(), is_needed=True),
        MARKS,
        REMARK,
    ),
    made_of(ChordSpan),
    doc="One held chord, however often it was struck.",
)

HELD = Record(
    (Field("name", flag(), default=True), Field("shape", flag(), default=True)),
    lambda values, *_: values,
    doc="Whether the first name holds while it sounds, and the first shape is on the path.",
)
ALONE = Record(
    (
        Field("direction", DIRECTION, default=None),
        Field("named", flag(), default=True),
        Field("shaped", flag(), default=True),
        Field("no_chord_reason", text(), default=None, is_sparse=True),
        Field("names", NAMES, default=(), is_sparse=True),
        Field("shapes", SHAPES, default=(), is_sparse=True),
    ),
    lambda values, *_: values,
    doc="What was read of it by itself, where that differs; null where nothing was.",
)


def _take_event(event: Event, context: PartContext) -> dict[str, Any]:
    reading = event.reading
    own_names, own_shapes = ((), ()) if reading is None else (reading.names, reading.shapes)
    names, shapes = _led_by(event.name, own_names), _led_by(event.shape, own_shapes)
    notes = _sounding(event) if reading is None else reading.notes
    alone = reading and {
        "direction": reading.evidence.direction,
        "named": bool(own_names),
        "shaped": bool(own_shapes),
        "no_chord_reason": reading.evidence.no_chord_reason,
        "names": () if own_names == names else own_names,
        "shapes": () if own_shapes == shapes else own_shapes,
    }
    return {
        "number": event.number,
        "kind": event.kind,
        "span": event.span,
        "position": event.position,
        "chord": event.span_index,
        "refused": None if reading is None else reading.refused,
        "span_s": event.span if reading is None else reading.evidence.span,
        "tuning_offset_cents": (
            context.tuning_offset_cents if reading is None else reading.evidence.tuning_offset_cents
        ),
        "direction": event.direction,
        "notes": notes,
        "bass": (notes[0] if notes else None) if reading is None else reading.bass,
        "held": {"name": event.name is not None, "shape": event.shape is not None},
        "names": names,
        "shapes": shapes,
        "alone": alone,
        "strokes": event.strokes,
        "marks": event.marks,
        "remark": event.remark,
    }


def _sounding(event: Event) -> tuple[NoteReading, ...]:
    best = {note.pitch: note.probability for note in sorted(event.notes, key=lambda note: note.probability)}
    return tuple(NoteReading(pitch, best[pitch]) for pitch in sorted(best))


def _make_event(values: dict[str, Any], _: Cursor, context: PartContext) -> Event:
    names, shapes, held, alone = (values[key] for key in ("names", "shapes", "held", "alone"))
    reading = None
    if alone is not None:
        evidence = StrumEvidence(
            values["span_s"], (), values["tuning_offset_cents"], alone["direction"], alone["no_chord_reason"]
        )
        reading = StrumReading(
            evidence,
            context.fretboard,
            values["notes"],
            values["bass"],
            (alone["names"] or names) if alone["named"] else (),
            (alone["shapes"] or shapes) if alone["shaped"] else (),
            values["refused"],
        )
    return Event(
        reading=reading,
        shape=shapes[0] if shapes and held["shape"] else None,
        name=names[0] if names and held["name"] else None,
        span_index=values["chord"],
        **{name: values[name] for name in ("span", "kind", "strokes", "position", "number", "marks", "remark")},
    )


_EVENT = Record(
    (
        Field("number", integer(1)),
        Field("kind", choice(*get_args(EventKind))),
        Inline("span", START_AND_END),
        Field("position", AT_POSITION, default=None),
        Field("chord", nullable(CHORD_NUMBER), "Which of `chords` is held, counted from 1.", default=None),
        Field("refused", nullable(text()), "Why no chord is named; null when one is.", default=None),
        Field("span_s", SPAN),
        Field("tuning_offset_cents", number(*CENTS)),
        Field("direction", DIRECTION, is_read=False),
        Field("notes", NOTES, "Low to high.", default=()),
        Field("bass", nullable(NOTE.form("note")), default=None),
        Field("held", HELD.form(), default={"name": True, "shape": True}),
        Field("names", NAMES, "Best first; begins with the name that holds while it sounds.", default=()),
        Field("shapes", SHAPES, "Best first; begins with the shape on the path.", default=()),
        Field("alone", nullable(ALONE.form()), default=None),
        Field("strokes", listed(STROKE.form("stroke"), "stroke"), default=(), is_needed=True),
        MARKS,
        REMARK,
    ),
    _make_event,
    take=_take_event,
)


def _read_event(cursor: Cursor, context: PartContext) -> Event:
    """Read an event; once its number is known, it is addressed by that."""
    number_ = cursor.integer("number", 1)
    read: Event = _EVENT.read(Cursor(cursor.value, cursor.name, (f"event {number_}",)), context)
    return read


EVENT = Form({"$ref": "#/$defs/event"}, _read_event, _EVENT.write)
EVENT_SCHEMA = _EVENT.schema
