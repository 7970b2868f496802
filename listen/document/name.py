"""The document that ``listen name FRETS --json`` prints."""

from __future__ import annotations

from collections.abc import Sequence

from listen.document.format import Document, format_of
from listen.document.shape import fingering_to_document
from listen.document.strum import chord_name_to_document
from listen.harmony import Neighbour
from listen.instrument import Fingering, Fretboard, Shape
from listen.reading import ChordName
from listen.theory import Chord, Pitch, chord_to_harte


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
    return {
        "format": format_of("name"),
        "frets": list(shape.frets),
        "tuning": fretboard.tuning.text,
        "capo_fret": fretboard.capo_fret,
        "pitches": [None if pitch is None else pitch.name for pitch in pitches],
        **fingering_to_document(fingering),
        "names": [
            {
                **chord_name_to_document(name),
                "degrees": [None if pitch is None else _degree(pitch, name.chord) for pitch in pitches],
            }
            for name in names
        ],
        "neighbours": [
            {
                "frets": list(each.shape.frets),
                "change": each.change,
                "text": each.name.text,
                "harte": chord_to_harte(each.name.chord, missing=each.name.missing),
            }
            for each in neighbours
        ],
    }


def _degree(pitch: Pitch, chord: Chord) -> str | None:
    """Return the degree of a tone; None for a note that the chord does not hold."""
    above = (pitch.pitch_class - chord.root.pitch_class) % 12
    return next((str(tone) for tone in chord.quality.tones if tone.pitch_class == above), None)
