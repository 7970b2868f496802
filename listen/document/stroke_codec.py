"""Strokes of a part document and the notes that they sounded; and what the fields of a part need beside their value."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, get_args

from listen.document.bars_codec import AT_POSITION, DIRECTION, STROKE_KIND
from listen.document.codec import (
    Field,
    Form,
    Inline,
    Record,
    choices,
    listed,
    made_of,
    nullable,
    number,
    text,
)
from listen.document.cursor import Cursor
from listen.document.name_codec import PITCH, SHARE
from listen.document.time_codec import START_AND_END
from listen.evidence import TimeSpan
from listen.instrument import Fretboard
from listen.reading import Mark, PlayedNote, Stroke

_DECIBELS = (-200.0, 200.0)  # more than 24 bits span
_FREE_PITCH: frozenset[Mark] = frozenset({"natural harmonic", "bend", "slide"})  # sounds other than where it is stopped


@dataclass(frozen=True, slots=True)
class PartContext:
    """What the fields of a part need beside their value.

    Parameters
    ----------
    fretboard : Fretboard
    n_chords : int
    numbers : tuple of int
        Of the events, in time order.
    index_of : dict
        From the number of an event to its place.
    tuning_offset_cents : float
        Of the whole part, for an event that was not read by itself.
    """

    fretboard: Fretboard
    n_chords: int = 0
    numbers: tuple[int, ...] = ()
    index_of: dict[int, int] = field(default_factory=dict)
    tuning_offset_cents: float = 0.0


MARKS = Field("marks", choices(*get_args(Mark)), default=(), is_sparse=True)
REMARK = Field("remark", text(), default="", is_sparse=True)


def _take_played(note: PlayedNote, context: PartContext) -> dict[str, Any]:
    string = None if note.string_index is None else context.fretboard.n_strings - note.string_index
    return {
        "pitch": note.pitch, "string": string, "fret": note.fret, "span": TimeSpan(note.start_s, note.end_s),
        "probability": note.probability, "level_db": note.level_db, "marks": note.marks,
    }  # fmt: skip


def _make_played(values: dict[str, Any], cursor: Cursor, context: PartContext) -> PlayedNote:
    board, pitch, string, fret = context.fretboard, values["pitch"], values.pop("string"), values["fret"]
    index = None if string is None else board.n_strings - string
    if index is not None and fret is not None and not _FREE_PITCH & set(values["marks"]):
        sounding = board.pitch_at(index, fret)
        if sounding != pitch:
            raise cursor.refuse(
                f"string {string} at fret {fret} sounds {sounding.name}, but the note is {pitch.name}; put one of them "
                "right."
            )
    span = values.pop("span")
    return PlayedNote(start_s=span.start_s, end_s=span.end_s, string_index=index, **values)


PLAYED = Record(
    (
        Inline("pitch", PITCH),
        Field(
            "string",
            nullable(
                Form(
                    {"type": "integer", "minimum": 1},
                    lambda cursor, context: cursor.as_integer(1, context.fretboard.n_strings),
                )
            ),
            "1 the first string; null where no hand could be found.", default=None,
        ),
        Field(
            "fret",
            nullable(
                Form(
                    {"type": "integer", "minimum": 0},
                    lambda cursor, context: cursor.as_integer(0, context.fretboard.top_fret),
                )
            ),
            "Counted from the capo.", default=None,
        ),
        Inline("span", START_AND_END),
        Field("probability", SHARE, default=1.0),
        Field("level_db", number(*_DECIBELS), default=0.0),
        MARKS,
    ),
    _make_played,
    take=_take_played,
)  # fmt: skip

STROKE = Record(
    (
        Inline("span", START_AND_END),
        Field("kind", STROKE_KIND),
        Field("direction", DIRECTION, default=None, is_needed=True),
        Field("direction_probability", SHARE, default=0.5),
        Field("level_db", number(*_DECIBELS), default=0.0),
        Field("position", AT_POSITION, default=None),
        Field("notes", listed(PLAYED.form("played"), "note"), default=(), is_needed=True),
        MARKS,
    ),
    made_of(Stroke),
)
