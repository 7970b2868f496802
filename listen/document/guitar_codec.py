"""A guitar that was learnt, in its document: its tuning, and what was measured of each string."""

from __future__ import annotations

from dataclasses import replace

from listen.document.codec import Field, Form, Record, integer, listed, made_of, nullable, rounded, text
from listen.document.cursor import Cursor
from listen.document.name_codec import PITCH_PATTERN
from listen.errors import ListenError
from listen.evidence import Measured
from listen.instrument import MOST_STRINGS, Tuning
from listen.reading import LONGEST_GUITAR_NAME, GuitarProfile, StringProfile
from listen.theory import Pitch

_LN_B = (-20.0, 0.0)  # any string that there is lies between e^-14 and e^-6
_CENTS = rounded(2, -1200, 1200)
_SIGMA = replace(rounded(6, 1e-6, 1e3), schema={"type": "number", "exclusiveMinimum": 0})


def _measured(low: float, high: float) -> Form:
    return Record((Field("value", rounded(6, low, high)), Field("sigma", _SIGMA)), made_of(Measured)).form()


STRING = Record(
    (
        Field(
            "ln_stiffness", nullable(_measured(*_LN_B)),
            "Natural logarithm of the inharmonicity coefficient B of the open string (Fletcher 1964).",
            name="stiffness", default=None, is_needed=True,
        ),
        Field(
            "brightness_db_per_octave", nullable(_measured(-100, 100)), "Spectral tilt of the open string.",
            name="brightness", default=None,
        ),
        Field(
            "decay_s", nullable(_measured(0, 1000)), "Time in which the open string falls by 60 dB.", default=None
        ),
        Field("level_db", nullable(rounded(2, -200, 0)), "Against the loudest string.", default=None),
        Field("tuning_cents", nullable(_CENTS), "Of the open string against the whole guitar.", default=None),
        Field("n_notes", integer(0), default=0, is_needed=True),
    ),
    made_of(StringProfile),
)  # fmt: skip


def _some(form: Form) -> Form:
    """Take one for each string."""
    return replace(form, schema={**form.schema, "minItems": 1, "maxItems": MOST_STRINGS})


def _read_pitch(cursor: Cursor, _: object) -> Pitch:
    try:
        return Pitch.parse(cursor.as_text())
    except ListenError as error:
        raise cursor.explain(error) from error


_PITCH = Form({"type": "string", "pattern": PITCH_PATTERN}, _read_pitch, lambda pitch, _: pitch.name)
TUNING = Record(
    (
        Field("name", text()),
        Field("open_strings", _some(listed(_PITCH, "open string")), "Highest-numbered string first."),
    ),
    made_of(Tuning),
)


GUITAR = Record(
    (
        Field("name", text(minLength=1, maxLength=LONGEST_GUITAR_NAME)),
        Field("tuning", TUNING.form()),
        Field(
            "tuning_offset_cents", _CENTS, "Of the whole guitar against A4 = 440 Hz when it was learnt."
        ),
        Field("stiffness_growth", _measured(0, 3), "By how much ln B grows over twelve frets.", name="growth"),
        Field("made_from", text(), "What it was learnt from, in words.", default="unknown", is_needed=True),
        Field("strings", _some(listed(STRING.form(), "string")), "In the order of the tuning."),
    ),
    made_of(GuitarProfile),
    kind="guitar",
)  # fmt: skip
