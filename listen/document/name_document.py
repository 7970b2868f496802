"""The document that ``listen name FRETS --json`` prints."""

from __future__ import annotations

from collections.abc import Sequence

from listen.document.codec import Field, Inline, Record, as_mapping, listed, nullable, publish, text
from listen.document.format import Document
from listen.document.name_codec import take_name
from listen.document.shape_codec import FRETS, FRETS_DOC
from listen.document.shown_codec import CAPO, PITCHES, SHOWN_FINGERING, SHOWN_NAME_FIELDS
from listen.harmony import Neighbour
from listen.instrument import Fingering, Fretboard, Shape
from listen.reading import ChordName
from listen.theory import Chord, Pitch, chord_to_harte

_NAME = Record(
    (
        *SHOWN_NAME_FIELDS,
        Field("degrees", listed(nullable(text())), "By string: the degree each string sounds in this name."),
    ),
    as_mapping,
)
_NEIGHBOUR = Record(
    (Field("frets", FRETS, FRETS_DOC), Field("change", text()), Field("text", text()), Field("harte", text())),
    as_mapping,
)
NAMES = Record(
    (
        Field("frets", FRETS, FRETS_DOC),
        Field("tuning", text()),
        CAPO,
        PITCHES,
        Inline("fingering", SHOWN_FINGERING),
        Field("names", listed(_NAME.form())),
        Field("neighbours", listed(_NEIGHBOUR.form()), "Named shapes one finger away."),
    ),
    as_mapping,
    kind="name",
)


def names_schema() -> Document:
    """Make the published schema of a name document."""
    return publish("name", "What `listen name FRETS --json` prints", NAMES.schema)


def names_to_document(
    shape: Shape,
    fretboard: Fretboard,
    names: Sequence[ChordName],
    *,
    fingering: Fingering,
    neighbours: Sequence[Neighbour] = (),
) -> Document:
    """Convert the names of a shape.

    Returns
    -------
    dict
        Valid under the schema ``name``.
    """
    pitches = shape.pitches(fretboard)
    told = {
        "frets": shape.frets,
        "tuning": fretboard.tuning.text,
        "capo_fret": fretboard.capo_fret,
        "pitches": pitches,
        "fingering": fingering,
        "names": [
            {
                **take_name(name, None),
                "degrees": [None if pitch is None else _degree(pitch, name.chord) for pitch in pitches],
            }
            for name in names
        ],
        "neighbours": [
            {
                "frets": each.shape.frets,
                "change": each.change,
                "text": each.name.text,
                "harte": chord_to_harte(each.name.chord, missing=each.name.missing),
            }
            for each in neighbours
        ],
    }
    return NAMES.write(told, None)


def _degree(pitch: Pitch, chord: Chord) -> str | None:
    """Return the degree of a tone; None for a note that the chord does not hold."""
    above = (pitch.pitch_class - chord.root.pitch_class) % 12
    return next((str(tone) for tone in chord.quality.tones if tone.pitch_class == above), None)
