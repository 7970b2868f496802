"""Names and fingerings in documents that are printed to be looked at: their numbers are rounded.

A part document, which is read again, has them in full (:mod:`listen.document.shape_codec`).
"""

from __future__ import annotations

from dataclasses import replace

from listen.document.codec import Field, Form, Record, as_mapping, integer, listed, nullable, rounded, text
from listen.document.name_codec import NAME_TEXTS, NAME_TONES, PITCH_PATTERN, take_name
from listen.document.shape_codec import BARRES, EFFORT, FINGERS, REASONS, SPAN_MM

SHOWN_SHARE = rounded(4, 0, 1)
SHOWN_NAME_FIELDS = (*NAME_TEXTS, Field("probability", SHOWN_SHARE), *NAME_TONES)
SHOWN_NAME = Record(SHOWN_NAME_FIELDS, as_mapping, take=take_name)
SHOWN_FINGERING = Record(
    (FINGERS, BARRES, replace(EFFORT, form=rounded(2, 0)), replace(SPAN_MM, form=rounded(1, 0)), REASONS), as_mapping
)

CAPO = Field("capo_fret", integer(0))
PITCHES = Field(
    "pitches",
    listed(
        Form(
            nullable(text(pattern=PITCH_PATTERN)).schema,
            text().read,
            lambda pitch, _: None if pitch is None else pitch.name,
        )
    ),
)
