"""The strum document: what ``listen strum --json`` prints, one object a recording.

Conventions: see the published schema (:func:`listen.document.load_schema`): frets by string, highest-numbered string
first, null not played; seconds, cents, millimetres; log-odds are natural logarithms; probabilities 0..1.
"""

from __future__ import annotations

import math
from dataclasses import replace

from listen.document.bars_codec import DIRECTION
from listen.document.codec import (
    Field,
    Form,
    Inline,
    Record,
    as_mapping,
    listed,
    nullable,
    number,
    publish,
    rounded,
    text,
)
from listen.document.format import Document
from listen.document.name_codec import PITCH
from listen.document.shape_codec import BRUSHED, HELD_FRETS, MOST_NATS, SAME_SOUND, SILENT, STROKE_SHARE
from listen.document.shown_codec import CAPO, SHOWN_FINGERING, SHOWN_NAME, SHOWN_SHARE
from listen.reading import TakeReading

_SECONDS = rounded(3, 0)
_NATS = Form(
    number().schema, number().read, lambda nats, _: round(max(-MOST_NATS, min(MOST_NATS, float(nats))), 2)
)  # beyond the bounds they mean "impossible" or "certain", and JSON has no infinity
_CENTS = Form(
    nullable(number()).schema,
    number().read,
    lambda cents, _: None if cents is None or not math.isfinite(cents) else round(float(cents), 1),
)
BASS = Record((Inline("pitch", PITCH), Field("probability", SHOWN_SHARE)), as_mapping)
NOTE = Record((*BASS.fields, Field("deviation_cents", _CENTS)), as_mapping)
WHY = Record(
    (
        Field("ear", _NATS),
        Field("hand", _NATS),
        Field("book", _NATS),
        Field("stroke", _NATS, STROKE_SHARE, is_needed=False),
    ),
    as_mapping,
    doc="Natural log-odds against the strongest rival: the second shape for the first, the first for the others.",
)
SHAPE = Record(
    (
        HELD_FRETS,
        Inline("fingering", SHOWN_FINGERING),
        Field("probability", SHOWN_SHARE),
        Field("why", WHY.form()),
        replace(
            SAME_SOUND,
            form=replace(SAME_SOUND.form, write=lambda places, n_shown: [at for at in places if at < n_shown]),
        ),
        replace(SILENT, is_sparse=False),
        replace(BRUSHED, is_sparse=False),
    ),
    as_mapping,
)
TAKE = Record(
    (
        Field("file", text()),
        Field("channel", text()),
        Field(
            "tuning", text(), "Open strings, highest-numbered string first.", name="reading.fretboard.tuning.text"
        ),
        replace(CAPO, name="reading.fretboard.capo_fret"),
        Field("warnings", listed(text())),
        Field("other_strums_s", listed(_SECONDS)),
        Field("refused", nullable(text()), "Why no chord is named; null when one is.", name="reading.refused"),
        Field(
            "span_s",
            Form(
                {"type": "array", "items": _SECONDS.schema, "minItems": 2, "maxItems": 2},
                listed(_SECONDS).read,
                lambda span, _: [round(span.start_s, 3), round(span.end_s, 3)],
            ),
            name="reading.evidence.span",
        ),
        Field(
            "tuning_offset_cents", rounded(1), "Of the whole recording against A4 = 440 Hz.",
            name="reading.evidence.tuning_offset_cents",
        ),
        Field("direction", DIRECTION, name="reading.evidence.direction"),
        Field("notes", listed(NOTE.form()), "Low to high.", name="reading.notes"),
        Field("bass", nullable(BASS.form()), name="reading.bass"),
        Field("names", listed(SHOWN_NAME.form()), "Best first.", name="reading.names"),
        Field("shapes", listed(SHAPE.form()), "Best first.", name="reading.shapes"),
    ),
    as_mapping,
    doc="A recording that was read.",
    kind="strum",
)  # fmt: skip
FAILURE = Record(
    (Field("file", text()), Field("error", text(minLength=1))),
    as_mapping,
    doc="A recording that could not be read.",
    kind="strum",
)


def strum_schema() -> Document:
    """Make the published schema of a strum document."""
    title = "One line of what `listen strum FILE... --json` prints"
    return publish("strum", title, {"oneOf": [TAKE.schema, FAILURE.schema]})


def take_to_document(take: TakeReading, *, file: str | None = None, n_shapes: int | None = None) -> Document:
    """Convert what was read in a recording.

    Parameters
    ----------
    take : TakeReading
    file : str or None
        What the user called the recording; its bare name when None.
    n_shapes : int or None
        How many shapes to list; all that were kept when None.

    Returns
    -------
    dict
        Valid under the schema ``strum``.
    """
    shapes = take.reading.shapes[:n_shapes]
    told = replace(take, file=take.file if file is None else file, reading=replace(take.reading, shapes=shapes))
    return TAKE.write(told, len(shapes))


def failure_to_document(file: str, error: Exception) -> Document:
    """Convert the error of a recording that could not be read."""
    return FAILURE.write({"file": file, "error": str(error)}, None)
