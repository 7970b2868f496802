"""What a person settled in a part, in its document: pins and corrections."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any, get_args

from listen.document.codec import Field, Form, Record, choice, integer, listed, made_of, text
from listen.document.cursor import Cursor
from listen.document.format import Document
from listen.document.shape_codec import FRETS
from listen.document.time_codec import BAR_NUMBERS
from listen.errors import ListenError
from listen.instrument import Shape
from listen.reading import STEPS_PER_BEAT, Corrected, Correction, Pin, Settled

MOST_EVENTS = 1_000_000
_BEAT = re.compile(r"[1-9]\d?(?:\.\d{1,6})?|[1-9]\d{0,5}/[1-9]\d{0,5}")
_AT_AN_EVENT = ("name", "section", "lyrics")


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


BEAT = Form({"type": ["string", "number"]}, _read_beat, lambda beat, _: str(beat))

PIN = Record(
    (
        Field("text", text(), is_read=False),
        Field("event", integer(1, MOST_EVENTS), is_sparse=True, is_read=False),
        Field("bar", integer(*BAR_NUMBERS), default=None, is_sparse=True),
        Field("beat", BEAT, "From 1; 5/2 is half a beat after the second.", default=None, is_sparse=True),
        Field("frets", FRETS),
    ),
    _make_pin,
    take=_take_pin,
)


def _make_correction(values: dict[str, Any], cursor: Cursor, _: object) -> Correction:
    is_name_in_a_bar = values["what"] == "name" and values["bar"] is not None
    if values["event_number"] is None and values["what"] in _AT_AN_EVENT and not is_name_in_a_bar:
        cursor.at("event").as_integer(1, MOST_EVENTS)
    return Correction(**values)


CORRECTION = Record(
    (
        Field("what", choice(*get_args(Corrected))),
        Field("value", text()),
        Field("event", integer(1, MOST_EVENTS), name="event_number", default=None, is_sparse=True),
        Field("bar", integer(*BAR_NUMBERS), "Of a name: from there to the next change.", default=None, is_sparse=True),
        Field("beat", BEAT, "From 1, in that bar.", default=Fraction(1), is_sparse=True),
    ),
    _make_correction,
)

SETTLED = Record(
    (
        Field("pins", listed(PIN.form(), "pin"), "Shapes that a person fixed.", default=(), is_needed=True),
        Field("corrections", listed(CORRECTION.form(), "correction"), default=(), is_needed=True),
    ),
    made_of(Settled),
)


def settled_to_document(settled: Settled) -> Document:
    """Convert what is settled."""
    return SETTLED.write(settled, None)


def document_to_settled(cursor: Cursor) -> Settled:
    """Convert what is settled where no neck is known: a pin has as many strings as it has frets.

    Raises
    ------
    DocumentError
        A value is missing or not possible: the sentence says where.
    """
    try:
        settled: Settled = SETTLED.read(cursor, None)
    except ListenError as error:
        raise cursor.explain(error) from error
    return settled
