"""What a part is played in, in its document: the neck, hypotheses of capo and tuning, concert pitch, the key."""

from __future__ import annotations

from typing import Any

from listen.document.codec import Field, Form, Inline, Record, choice, flag, integer, listed, made_of, number, text
from listen.document.cursor import Cursor
from listen.document.name_codec import CENTS, SHARE
from listen.document.time_codec import BAR_NUMBERS, SECONDS
from listen.errors import ListenError
from listen.evidence import TuningPoint
from listen.instrument import Fretboard, Tuning
from listen.reading import ConcertPitch, KeyChange, PartKey, SetupHypothesis
from listen.theory import Note, Pitch


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


CONCERT_PITCH = Record(
    (
        Field("tuning_offset_cents", number(*CENTS), name="offset_cents"),
        Field("tuning_drift", listed(TUNING_POINT.form(), "tuning point"), name="drift", default=()),
    ),
    made_of(ConcertPitch),
)


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
KEY_CHANGE = Record(
    (
        Field("bar", integer(*BAR_NUMBERS), "The bar at which it begins; it holds to the next change."),
        Inline("key", KEY),
    ),
    made_of(KeyChange),
)
