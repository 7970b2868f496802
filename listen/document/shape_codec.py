"""Shapes in documents: frets, fingers, and what speaks for them."""

from __future__ import annotations

from typing import Any, Protocol

from listen.document.codec import (
    Field,
    Form,
    Inline,
    Record,
    flag,
    integer,
    listed,
    made_of,
    number,
)
from listen.document.cursor import Cursor
from listen.document.name_codec import SHARE
from listen.document.reason_words import parse_reason, reason_text
from listen.instrument import MOST_FRETS, Barre, Finger, Fingering, Fretboard, Shape
from listen.reading import ShapeReading, Shares

NATS = (-1e4, 1e4)  # beyond any log-odds that were ever weighed
MOST_NATS = 99.0  # beyond it log-odds mean "impossible" or "certain"


class OnNeck(Protocol):
    """What the forms here ask of their context."""

    @property
    def fretboard(self) -> Fretboard:
        """What the shapes are held on."""


def _top_fret(context: OnNeck | None) -> int:
    return MOST_FRETS if context is None else context.fretboard.top_fret


def by_string(item: Form) -> Form:
    """Take a list that runs over the strings; each item is addressed by its string's number.

    Without a context no neck is known: the list is as long as it is.
    """

    def read(cursor: Cursor, context: OnNeck | None) -> tuple[Any, ...]:
        key = cursor.address[-1]
        items = list(cursor.items(key))
        n = len(items) if context is None else context.fretboard.n_strings
        if len(items) != n:
            raise cursor.outside().refuse(f'"{key}" has {len(items)} entries, but the instrument has {n} strings.')
        named = (f"{key.removesuffix('s')} of string {number}" for number in range(n, 0, -1))
        placed = (Cursor(at.value, at.name, (*at.address[:-1], name)) for at, name in zip(items, named, strict=True))
        return tuple(item.read(at, context) for at in placed)

    return Form({"type": "array", "items": item.schema, "minItems": 1}, read, lambda values, _: list(values))


FRETS = by_string(
    Form(
        {"type": ["integer", "null"], "minimum": 0, "maximum": MOST_FRETS},
        lambda cursor, context: None if cursor.value is None else cursor.as_integer(0, _top_fret(context)),
    )
)


def _read_finger(cursor: Cursor, _: object) -> Finger:
    if cursor.value is None:
        return None
    return "T" if cursor.value == "T" else cursor.as_integer(0, 4)


def _on_neck(name: str, low: int) -> Form:
    """Take a whole number up to the last of what the neck has: ``top_fret`` or ``n_strings``."""

    def read(cursor: Cursor, context: OnNeck) -> int:
        board = context.fretboard
        return cursor.as_integer(low, board.top_fret if name == "fret" else board.n_strings - 1)

    return Form({"type": "integer", "minimum": low}, read)


BARRE = Record(
    (
        Field("finger", integer(1, 4)),
        Field("fret", _on_neck("fret", 1)),
        Field("first_string", _on_neck("string", 0), "Index into frets, the lower-sounding side of the neck."),
        Field("last_string", _on_neck("string", 0)),
    ),
    made_of(Barre),
)


def _read_effort_part(cursor: Cursor, _: object) -> tuple[str, float]:
    items = list(cursor.items("entry"))
    if len(items) != 2:
        raise cursor.refuse("it takes a word and a number.")
    return items[0].as_text(), items[1].as_number()


EFFORT_PART = Form(
    {"type": "array", "prefixItems": [{"type": "string"}, {"type": "number"}], "minItems": 2, "maxItems": 2},
    _read_effort_part,
    lambda part, _: [part[0], float(part[1])],
)
REASON = Form(
    {"type": "string"},
    lambda cursor, _: parse_reason(cursor.as_text()),
    lambda reason, _: reason_text(reason),
)
FINGERS = Field(
    "fingers", by_string(Form({"enum": [None, 0, 1, 2, 3, 4, "T"]}, _read_finger)),
    "By string, highest-numbered string first: 1 index to 4 little finger, T thumb, 0 open, null not played.",
)  # fmt: skip
BARRES = Field("barres", listed(BARRE.form(), "barre"), default=(), is_needed=True)
EFFORT = Field("effort", number(-1e4, 1e4), "0 nothing to hold; about 10 the hardest in use.")
SPAN_MM = Field("span_mm", number(0, 5000), "Along the neck, between the outermost fretting fingers.")
REASONS = Field("reasons", listed(REASON), "Why it is easy or hard.", default=(), is_needed=True)
FINGERING = Record(
    (
        FINGERS,
        BARRES,
        EFFORT,
        Field(
            "effort_parts", listed(EFFORT_PART, "part of the effort"), "What the effort is made of.",
            name="parts", default=(),
        ),
        SPAN_MM,
        REASONS,
        Field("playable", flag(), default=True),
    ),
    made_of(Fingering),
)  # fmt: skip
LOG_ODDS = Form(number().schema, number(*NATS).read, lambda value, _: max(-MOST_NATS, min(MOST_NATS, float(value))))
STROKE_SHARE = "How usual it is that just these strings of the shape sound; 0 where all do."
SHARES = Record(
    (
        Field("ear", LOG_ODDS),
        Field("hand", LOG_ODDS),
        Field("book", LOG_ODDS),
        Field("stroke", LOG_ODDS, STROKE_SHARE, default=0.0, is_sparse=True),
    ),
    made_of(Shares),
    doc="Natural log-odds against the best shape.",
)


_STRING = _on_neck("string", 0)
SILENT = Field(
    "silent", listed(_STRING, "silent string"), "Strings that are held and did not sound, as places in frets.",
    default=(), is_sparse=True,
)  # fmt: skip
BRUSHED = Field(
    "brushed", listed(_STRING, "brushed string"),
    "Open strings that sounded and are no part of the shape, as places in frets.", default=(), is_sparse=True,
)  # fmt: skip


def _make_shape(values: dict[str, Any], *_: object) -> ShapeReading:
    return ShapeReading(Shape(values.pop("shape.frets")), **values)


FRETS_DOC = (
    "Highest-numbered string first; null not played, 0 open; counted from the nut, or from the capo when there is one."
)
HELD_FRETS = Field("frets", FRETS, FRETS_DOC, name="shape.frets")
SAME_SOUND = Field(
    "same_sound", listed(integer(0), "shape of the same sound"),
    "Places in this list of shapes with the same pitches.", default=(), is_needed=True,
)  # fmt: skip
SHAPE = Record(
    (
        HELD_FRETS,
        Inline("fingering", FINGERING),
        Field("probability", SHARE),
        Field("why", SHARES.form()),
        SAME_SOUND,
        SILENT,
        BRUSHED,
    ),
    _make_shape,
)  # fmt: skip
