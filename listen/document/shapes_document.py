"""The document that ``listen shapes CHORD --json`` prints."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from listen.document.codec import Field, Inline, Record, as_mapping, flag, listed, nullable, publish, text
from listen.document.format import Document
from listen.document.shape_codec import FRETS, FRETS_DOC, SAME_SOUND
from listen.document.shown_codec import CAPO, PITCHES, SHOWN_FINGERING
from listen.instrument import Fingering, Fretboard, Shape
from listen.theory import Chord, chord_to_harte

_CHORD = Record((Field("text", text()), Field("harte", nullable(text()))), as_mapping)
_SHAPE = Record(
    (
        Field("frets", FRETS, FRETS_DOC),
        PITCHES,
        Inline("fingering", SHOWN_FINGERING),
        Field("playable", flag(), name="playable"),
        SAME_SOUND,
    ),
    as_mapping,
)
SHAPES = Record(
    (
        Field("chord", _CHORD.form()),
        Field("tuning", text()),
        CAPO,
        Field("shapes", listed(_SHAPE.form())),
    ),
    as_mapping,
    kind="shapes",
)


def shapes_schema() -> Document:
    """Make the published schema of a shapes document."""
    return publish("shapes", "What `listen shapes CHORD --json` prints", SHAPES.schema)


def shapes_to_document(
    chord: Chord | None, shapes: Iterable[tuple[Shape, Fingering]], fretboard: Fretboard, *, text: str = ""
) -> Document:
    """Convert the places of a chord.

    Parameters
    ----------
    chord : Chord or None
        None where notes were asked for that have no chord's name.
    shapes : iterable of (Shape, Fingering)
        Best first.
    fretboard : Fretboard
    text : str
        What was asked for; the chord's own text when empty.

    Returns
    -------
    dict
        Valid under the schema ``shapes``.
    """
    found = list(shapes)
    pitches = [tuple(shape.pitches(fretboard)) for shape, _ in found]
    same: dict[tuple[int, ...], list[int]] = {}
    keys = [tuple(sorted(pitch.midi for pitch in sounding if pitch is not None)) for sounding in pitches]
    for place, key in enumerate(keys):
        same.setdefault(key, []).append(place)
    told: dict[str, Any] = {
        "chord": {
            "text": text or (chord.text if chord is not None else ""),
            "harte": None if chord is None else chord_to_harte(chord),
        },
        "tuning": fretboard.tuning.text,
        "capo_fret": fretboard.capo_fret,
        "shapes": [
            {
                "frets": shape.frets,
                "pitches": pitches[place],
                "fingering": fingering,
                "playable": fingering.playable,
                "same_sound": [other for other in same[keys[place]] if other != place],
            }
            for place, (shape, fingering) in enumerate(found)
        ],
    }
    return SHAPES.write(told, None)
