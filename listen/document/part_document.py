"""The part document: a whole part as ``listen part --json`` prints it and ``listen play`` reads it.

Conventions: those of the strum document (see :mod:`listen.document.strum_document`): a strum has its fields, and more.
Seconds from the start of the recording; events are referred to by their number, strings by theirs (1 the
highest-sounding on a guitar in standard tuning); ``step`` counts twelfths of a beat from the bar line. Numbers are
written out in full, so that a part is read back as it was written; only the ear's raw evidence of every pitch is left
out.

What a person may have edited by hand is checked value by value, and a wrong value is refused in one sentence that says
where it stands and what it takes; nothing is repaired silently. The fields stand here and in the files ``*_codec.py``,
each once: writing, reading and the published schema come from them (:mod:`listen.document.codec`).
"""

from __future__ import annotations

import json
from bisect import insort
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

from listen.document.bars_codec import BARS, METRE, PATTERN, POSITION
from listen.document.codec import (
    Field,
    Inline,
    Record,
    as_mapping,
    flag,
    listed,
    made_of,
    nullable,
    number,
    publish,
    rows,
    text,
)
from listen.document.cursor import LONGEST_NAME, Cursor
from listen.document.event_codec import CHORD, EVENT, EVENT_SCHEMA
from listen.document.format import Document
from listen.document.name_codec import CHORD_TONES, NAME, NOTE
from listen.document.part_checks import check_part
from listen.document.path_codec import PATH
from listen.document.settled_codec import SETTLED
from listen.document.setup_codec import CONCERT_PITCH, FRETBOARD, KEY, SETUP
from listen.document.shape_codec import SHAPE
from listen.document.stroke_codec import PLAYED, STROKE, PartContext
from listen.document.time_codec import SECONDS, SPAN
from listen.reading import Part, PartRecording

STRUM_KINDS = ("strum", "picked")  # what ``strums`` holds; lines, hits, rests and unread stretches are other events
_ROWS = ("strums", "other_events", "chords", "settings", "metres", "keys", "pins", "corrections", "tuning_drift")


def _take_part(part: Part, _: object) -> dict[str, Any]:
    own = {name: getattr(part, name) for name in Part.__slots__}
    strums = (event for event in part.events if event.kind in STRUM_KINDS)
    others = (event for event in part.events if event.kind not in STRUM_KINDS)
    return {**own, "key": part.key, "strums": strums, "other_events": others}


_EVENT_LISTS = (
    Field("strums", rows(EVENT, "strum"), "Strums and picked chords, in time order.", default=(), is_needed=True),
    Field(
        "other_events", rows(EVENT, "other event"), "Lines, hits, rests and unread stretches, in time order.",
        default=(), is_needed=True,
    ),
)  # fmt: skip
EVENTS = Record(_EVENT_LISTS, lambda values, *_: (*values["strums"], *values["other_events"]))
"""Read before all else: chords refer to events."""
RECORDING = Record(
    (
        Field("file", text(LONGEST_NAME)),
        Field("channel", text(), default="mix"),
        Field("duration_s", number(0, SECONDS[1])),
        Field("span_s", SPAN, name="span"),
        Field("complete", flag(), "False when reading was stopped before the end.", default=True),
    ),
    made_of(PartRecording),
)
PART = Record(
    (
        Inline("recording", RECORDING),
        Field("warnings", listed(text()), default=()),
        Inline("fretboard", FRETBOARD),
        Inline("concert_pitch", CONCERT_PITCH),
        Field(
            "key", nullable(KEY.form("key")), "The likeliest of `keys`, for reading only.", default=None, is_needed=True
        ),
        Field("keys", listed(KEY.form("key"), "key"), default=()),
        Inline("bars", BARS),
        Field(
            "settings", listed(SETUP.form("setting"), "setting"), "Hypotheses of tuning and capo, best first.",
            name="setups", default=(), is_needed=True,
        ),
        Field("pattern", nullable(PATTERN.form()), default=None),
        Field("path", nullable(PATH.form()), default=None),
        Inline("settled", SETTLED),
        Field("chords", rows(CHORD.form("chord"), "chord"), name="spans", default=()),
        *(replace(field, is_read=False) for field in _EVENT_LISTS),
    ),
    as_mapping,
    take=_take_part,
    kind="part",
)  # fmt: skip
_NAMED = {
    "note": NOTE, "name": NAME, "shape": SHAPE, "chord_tones": CHORD_TONES, "position": POSITION, "key": KEY,
    "metre": METRE, "setting": SETUP, "played": PLAYED, "stroke": STROKE, "chord": CHORD,
}  # fmt: skip


def part_schema() -> Document:
    """Make the published schema of a part document."""
    told = {**{name: record.schema for name, record in _NAMED.items()}, "event": EVENT_SCHEMA}
    title = "What `listen part FILE --json` prints and `listen play` reads"
    return publish("part", title, {**PART.schema, "$defs": told})


def part_to_document(part: Part) -> Document:
    """Convert a part.

    Returns
    -------
    dict
        Valid under the schema ``part``.
    """
    return {key: list(value) if isinstance(value, Iterator) else value for key, value in _fields(part).items()}


def _fields(part: Part) -> Document:
    """Return the fields of the document; the long lists are made item by item, as they are asked for."""
    numbers = tuple(event.number for event in part.events)
    context = PartContext(part.fretboard, numbers=numbers, tuning_offset_cents=part.concert_pitch.offset_cents)
    return PART.write(part, context)


def render_part_document(document: Document) -> str:
    """Return the document as JSON text: a field a line, and in the long lists an item a line.

    So a person finds a strum, a line editor changes one, and a comparison of two readings shows which differ.
    """
    return "".join(_pieces(document))


def render_part_pieces(part: Part) -> Iterator[str]:
    """Yield the JSON text of a part's document piece by piece: of an hour it is a hundred megabytes."""
    return _pieces(_fields(part))


def _pieces(document: Document) -> Iterator[str]:
    opening = "{"
    for key, value in document.items():
        yield f'{opening}\n "{key}": '
        opening = ","
        if key not in _ROWS:
            yield _one_line(value)
            continue
        before = "[\n  "
        for item in value:
            yield before + _one_line(item)
            before = ",\n  "
        yield "[]" if before.startswith("[") else "\n ]"
    yield "\n}\n"


def _one_line(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


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
    context = PartContext(FRETBOARD.read(top, None), len(top.each("chords", "chord")))
    numbered = sorted(EVENTS.read(top, context), key=lambda event: event.number)
    for before, after in pairwise(numbered):
        if before.number == after.number:
            raise top.refuse(f"two events have the number {after.number}.")
    counted = next((place for place, event in enumerate(numbered) if event.number != place + 1), len(numbered))
    events = numbered[:counted]
    for event in numbered[counted:]:  # parted from another by what a person told: it is numbered behind all others
        insort(events, event, key=lambda one: one.span.start_s)
    index_of = {event.number: index for index, event in enumerate(events)}
    values = PART.read_fields(top, replace(context, index_of=index_of))
    key = values.pop("key")
    part = Part(events=tuple(events), **values)
    check_part(part, top=top, key=key)
    return part
