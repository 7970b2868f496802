"""Shapes in documents, and the document that ``listen shapes CHORD --json`` prints."""

from __future__ import annotations

from collections.abc import Iterable

from listen.document.format import Document, format_of
from listen.document.reason_words import reason_text
from listen.instrument import Fingering, Fretboard, Shape
from listen.theory import Chord, chord_to_harte


def fingering_to_document(fingering: Fingering) -> Document:
    """Convert how a shape is held."""
    return {
        "fingers": list(fingering.fingers),
        "barres": [
            {"finger": b.finger, "fret": b.fret, "first_string": b.first_string, "last_string": b.last_string}
            for b in fingering.barres
        ],
        "effort": round(fingering.effort, 2),
        "span_mm": round(fingering.span_mm, 1),
        "reasons": [reason_text(reason) for reason in fingering.reasons],
    }


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
    listed = list(shapes)
    pitches = [tuple(shape.pitches(fretboard)) for shape, _ in listed]
    same: dict[tuple[int, ...], list[int]] = {}
    keys = [tuple(sorted(pitch.midi for pitch in sounding if pitch is not None)) for sounding in pitches]
    for place, key in enumerate(keys):
        same.setdefault(key, []).append(place)
    return {
        "format": format_of("shapes"),
        "chord": {
            "text": text or (chord.text if chord is not None else ""),
            "harte": None if chord is None else chord_to_harte(chord),
        },
        "tuning": fretboard.tuning.text,
        "capo_fret": fretboard.capo_fret,
        "shapes": [
            {
                "frets": list(shape.frets),
                "pitches": [None if pitch is None else pitch.name for pitch in pitches[place]],
                **fingering_to_document(fingering),
                "playable": fingering.playable,
                "same_sound": [other for other in same[keys[place]] if other != place],
            }
            for place, (shape, fingering) in enumerate(listed)
        ],
    }
