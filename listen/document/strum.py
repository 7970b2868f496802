"""The strum document: what ``listen strum --json`` prints, one object a recording.

Conventions: see the published schema (:func:`listen.document.load_schema`): frets by string, highest-numbered string
first, null not played; seconds, cents, millimetres; log-odds are natural logarithms; probabilities 0..1.
"""

from __future__ import annotations

import math

from listen.document.format import Document, format_of
from listen.document.shape import fingering_to_document
from listen.reading import ChordName, NoteReading, ShapeReading, StrumReading, TakeReading
from listen.theory import chord_to_harte


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
    board = take.reading.fretboard
    return {
        "format": format_of("strum"),
        "file": take.file if file is None else file,
        "channel": take.channel,
        "tuning": board.tuning.text,
        "capo_fret": board.capo_fret,
        "warnings": list(take.warnings),
        "other_strums_s": [round(at, 3) for at in take.other_strums_s],
        **strum_to_document(take.reading, n_shapes=n_shapes),
    }


def strum_to_document(reading: StrumReading, *, n_shapes: int | None = None) -> Document:
    """Convert the reading of one strum: the fields that a strum document and a part's strums have in common."""
    evidence = reading.evidence
    shapes = reading.shapes[:n_shapes]
    return {
        "refused": reading.refused,
        "span_s": [round(evidence.span.start_s, 3), round(evidence.span.end_s, 3)],
        "tuning_offset_cents": round(evidence.tuning_offset_cents, 1),
        "direction": evidence.direction,
        "notes": [{**_note(note), "deviation_cents": _rounded(note.deviation_cents)} for note in reading.notes],
        "bass": None if reading.bass is None else _note(reading.bass),
        "names": [chord_name_to_document(name) for name in reading.names],
        "shapes": [_shape(shape, n_shown=len(shapes)) for shape in shapes],
    }


def failure_to_document(file: str, error: Exception) -> Document:
    """Convert the error of a recording that could not be read."""
    return {"format": format_of("strum"), "file": file, "error": str(error)}


def _note(note: NoteReading) -> Document:
    return {"pitch": note.pitch.name, "midi": note.pitch.midi, "probability": round(note.probability, 4)}


def chord_name_to_document(name: ChordName) -> Document:
    """Convert one name."""
    return {
        "text": name.text,
        "harte": chord_to_harte(name.chord, missing=name.missing),
        "inversion": name.chord.inversion,
        "played_as": None if name.played_as is None else name.played_as.text,
        "probability": round(name.probability, 4),
        "missing": list(name.missing),
        "unexplained": list(name.unexplained),
    }


def _shape(reading: ShapeReading, *, n_shown: int) -> Document:
    why = reading.why
    return {
        "frets": list(reading.shape.frets),
        **fingering_to_document(reading.fingering),
        "probability": round(reading.probability, 4),
        "why": {
            "ear": _finite(why.ear),
            "hand": _finite(why.hand),
            "book": _finite(why.book),
            "stroke": _finite(why.stroke),
        },
        "same_sound": [place for place in reading.same_sound if place < n_shown],
        "silent": list(reading.silent),
        "brushed": list(reading.brushed),
    }


def _finite(log_odds: float) -> float:
    """Return log-odds with two decimals; beyond ±99 they mean "impossible" or "certain" and JSON has no infinity."""
    return round(max(-99.0, min(99.0, log_odds)), 2)


def _rounded(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(value, 1)
