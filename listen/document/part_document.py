"""The part document: a whole part as ``listen part --json`` prints it and ``listen play`` reads it.

Conventions: those of the strum document (see :mod:`listen.document.strum`): a strum has its fields, and more. Seconds
from the start of the recording; events are referred to by their number, strings by theirs (1 the highest-sounding on a
guitar in standard tuning); ``step`` counts twelfths of a beat from the bar line. ``names`` of a strum begin with the
name that holds while it sounds and its ``shapes`` with the one on the path; what it was read as by itself stands under
``alone`` where that differs. Numbers are written out in full, so that a part is read back as it was written; only the
ear's raw evidence of every pitch is left out.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from listen.document.format import Document, format_of
from listen.document.reason_words import reason_text
from listen.instrument import Fretboard
from listen.reading import (
    ChordName,
    ChordSpan,
    Correction,
    Event,
    GridPosition,
    HandPath,
    Metre,
    NoteReading,
    Part,
    PartKey,
    Pin,
    PlayedNote,
    SetupHypothesis,
    ShapeReading,
    Stroke,
    StrummingPattern,
)
from listen.theory import Chord, ChordSymbolError, chord_to_harte, parse_chord, parse_harte

STRUM_KINDS = ("strum", "picked")  # what ``strums`` holds; lines, hits, rests and unread stretches are other events
_ROWS = ("strums", "other_events", "chords", "settings", "metres", "keys", "pins", "corrections", "tuning_drift")


def part_to_document(part: Part) -> Document:
    """Convert a part.

    Returns
    -------
    dict
        Valid under the schema ``part``.
    """
    return {key: list(value) if isinstance(value, Iterator) else value for key, value in _fields(part).items()}


def _fields(part: Part) -> Document:
    """Return the fields of the document; the long lists are made item by item, as they are asked for."""
    return {
        "format": format_of("part"),
        "file": part.source,
        "channel": part.channel,
        "duration_s": float(part.duration_s),
        "span_s": [float(part.span.start_s), float(part.span.end_s)],
        "complete": part.complete,
        "warnings": list(part.warnings),
        **_fretboard(part.fretboard),
        "tuning_offset_cents": float(part.tuning_offset_cents),
        "tuning_drift": [
            {"time_s": float(at.time_s), "offset_cents": float(at.offset_cents)} for at in part.tuning_drift
        ],
        "key": None if part.key is None else _key(part.key),
        "keys": [_key(key) for key in part.keys],
        "metre": None if part.metre is None else _metre(part.metre),
        "metres": [_metre(metre) for metre in part.metres],
        "beats_s": [float(at) for at in part.beats_s],
        "bars_s": [float(at) for at in part.bars_s],
        "first_bar": part.first_bar,
        "settings": [_setup(setup) for setup in part.setups],
        "pattern": None if part.pattern is None else _pattern(part.pattern),
        "path": None if part.path is None else _path(part.path),
        "pins": [_pin(pin) for pin in part.pins],
        "corrections": [_correction(correction) for correction in part.corrections],
        "chords": (_span(span, part.events) for span in part.spans),
        "strums": (_event(event, part) for event in part.events if event.kind in STRUM_KINDS),
        "other_events": (_event(event, part) for event in part.events if event.kind not in STRUM_KINDS),
    }


def render_part_document(document: Document) -> str:
    """Return the document as JSON text: a field a line, and in the long lists an item a line.

    So a person finds a strum, a line editor changes one, and a comparison of two readings shows which differ.
    """
    return "".join(_pieces(document))


def render_part_pieces(part: Part) -> Iterator[str]:
    """Yield the JSON text of a part's document piece by piece: of an hour it is a hundred megabytes."""
    return _pieces(_fields(part))


def _pieces(document: Document) -> Iterator[str]:
    opening = "{"
    for key, value in document.items():
        yield f'{opening}\n "{key}": '
        opening = ","
        if key not in _ROWS:
            yield _one_line(value)
            continue
        before = "[\n  "
        for item in value:
            yield before + _one_line(item)
            before = ",\n  "
        yield "[]" if before.startswith("[") else "\n ]"
    yield "\n}\n"


def _one_line(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _sparse(document: Document, **extra: Any) -> Document:
    """Add what is not empty."""
    return document | {key: value for key, value in extra.items() if value not in ([], "", None)}


def _fretboard(fretboard: Fretboard) -> Document:
    tuning = fretboard.tuning
    return _sparse(
        {
            "tuning": tuning.text,
            "tuning_name": tuning.name,
            "capo_fret": fretboard.capo_fret,
            "n_frets": fretboard.n_frets,
            "scale_length_mm": float(fretboard.scale_length_mm),
        },
        companions=list(tuning.companions),
    )


def _key(key: PartKey) -> Document:
    return {"tonic": str(key.tonic), "mode": key.mode, "probability": _share(key.probability)}


def _metre(metre: Metre) -> Document:
    return {
        "signature": metre.signature,
        "beats_per_bar": metre.beats_per_bar,
        "beat_unit": metre.beat_unit,
        "division": metre.division,
        "tempo_bpm": float(metre.tempo_bpm),
        "swing": _share(metre.swing),
        "pickup_steps": metre.pickup_steps,
        "probability": _share(metre.probability),
    }


def _setup(setup: SetupHypothesis) -> Document:
    return {
        "text": setup.text,
        **_fretboard(setup.fretboard),
        "tuning_offset_cents": float(setup.tuning_offset_cents),
        "probability": _share(setup.probability),
        "reasons": list(setup.reasons),
        "told": setup.told,
    }


def _pattern(pattern: StrummingPattern) -> Document:
    return {
        "share": _share(pattern.share),
        "bars": list(pattern.bars),
        "strokes": [
            {"step": stroke.step, "direction": stroke.direction, "kind": stroke.kind, "accent": stroke.accent}
            for stroke in pattern.strokes
        ],
    }


def _path(path: HandPath) -> Document:
    return {
        "total_cost": float(path.total_cost),
        "hardest_cost": float(path.hardest_cost),
        "hardest_chord": None if path.hardest_span is None else path.hardest_span + 1,
        "gentlest_total_cost": float(path.gentlest_total_cost),
        "gentlest_hardest_cost": float(path.gentlest_hardest_cost),
        "differences": [
            {
                "chord": difference.span_index + 1,
                "cheapest": _shape(difference.cheapest),
                "gentlest": _shape(difference.gentlest),
            }
            for difference in path.differences
        ],
    }


def _pin(pin: Pin) -> Document:
    place: Document = {"event": pin.event_number} if pin.bar is None else {"bar": pin.bar, "beat": str(pin.beat)}
    return {"text": pin.text, **place, "frets": list(pin.shape.frets)}


def _correction(correction: Correction) -> Document:
    document: Document = {"what": correction.what, "value": correction.value}
    return document if correction.event_number is None else {**document, "event": correction.event_number}


def _span(span: ChordSpan, events: tuple[Event, ...]) -> Document:
    return _sparse(
        {
            "start_s": float(span.span.start_s),
            "end_s": float(span.span.end_s),
            "first_event": events[span.first_event].number,
            "last_event": events[span.last_event].number,
            "position": _position(span.position),
            "pinned": span.pinned,
            "notes": [_note(note) for note in span.notes],
            "bass": None if span.bass is None else _note(span.bass),
            "names": [_name(name) for name in _led_by(span.name, span.names)],
            "shapes": [_shape(shape) for shape in _led_by(span.shape, span.shapes)],
        },
        marks=list(span.marks),
        remark=span.remark,
    )


def _event(event: Event, part: Part) -> Document:
    reading = event.reading
    evidence = None if reading is None else reading.evidence
    own_names, own_shapes = (reading.names, reading.shapes) if reading is not None else ((), ())
    names, shapes = _led_by(event.name, own_names), _led_by(event.shape, own_shapes)
    notes = _sounding(event) if reading is None else reading.notes
    bass = (notes[0] if notes else None) if reading is None else reading.bass
    span = event.span if evidence is None else evidence.span
    offset = part.tuning_offset_cents if evidence is None else evidence.tuning_offset_cents
    alone = None
    if reading is not None and evidence is not None:
        alone = _sparse(
            {"direction": evidence.direction, "named": bool(own_names), "shaped": bool(own_shapes)},
            no_chord_reason=evidence.no_chord_reason,
            names=[] if own_names in ((), names) else [_name(name) for name in own_names],
            shapes=[] if own_shapes in ((), shapes) else [_shape(shape) for shape in own_shapes],
        )
    return _sparse(
        {
            "number": event.number,
            "kind": event.kind,
            "start_s": float(event.span.start_s),
            "end_s": float(event.span.end_s),
            "position": _position(event.position),
            "chord": None if event.span_index is None else event.span_index + 1,
            "refused": None if reading is None else reading.refused,
            "span_s": [float(span.start_s), float(span.end_s)],
            "tuning_offset_cents": float(offset),
            "direction": event.direction,
            "notes": [_note(note) for note in notes],
            "bass": None if bass is None else _note(bass),
            "held": {"name": event.name is not None, "shape": event.shape is not None},
            "names": [_name(name) for name in names],
            "shapes": [_shape(shape) for shape in shapes],
            "alone": alone,
            "strokes": [_stroke(stroke, part.fretboard.n_strings) for stroke in event.strokes],
        },
        marks=list(event.marks),
        remark=event.remark,
    )


def _sounding(event: Event) -> tuple[NoteReading, ...]:
    best = {note.pitch: note.probability for note in sorted(event.notes, key=lambda note: note.probability)}
    return tuple(NoteReading(pitch, best[pitch]) for pitch in sorted(best))


def _led_by(first: Any, ranked: tuple[Any, ...]) -> tuple[Any, ...]:
    """Put the one that holds before the others, once."""
    if first is None or ranked[:1] == (first,):
        return ranked
    same = "chord" if isinstance(first, ChordName) else "shape"
    return (first, *(other for other in ranked if getattr(other, same) != getattr(first, same)))


def _stroke(stroke: Stroke, n_strings: int) -> Document:
    return _sparse(
        {
            "start_s": float(stroke.span.start_s),
            "end_s": float(stroke.span.end_s),
            "kind": stroke.kind,
            "direction": stroke.direction,
            "direction_probability": _share(stroke.direction_probability),
            "level_db": float(stroke.level_db),
            "position": _position(stroke.position),
            "notes": [_played(note, n_strings) for note in stroke.notes],
        },
        marks=list(stroke.marks),
    )


def _played(note: PlayedNote, n_strings: int) -> Document:
    return _sparse(
        {
            "pitch": note.pitch.name,
            "midi": note.pitch.midi,
            "string": None if note.string_index is None else n_strings - note.string_index,
            "fret": note.fret,
            "start_s": float(note.start_s),
            "end_s": float(note.end_s),
            "probability": _share(note.probability),
            "level_db": float(note.level_db),
        },
        marks=list(note.marks),
    )


def _position(position: GridPosition | None) -> Document | None:
    if position is None:
        return None
    return {
        "text": position.text,
        "bar": position.bar,
        "step": position.step,
        "deviation_s": float(position.deviation_s),
    }


def _note(note: NoteReading) -> Document:
    return {
        "pitch": note.pitch.name,
        "midi": note.pitch.midi,
        "probability": _share(note.probability),
        "deviation_cents": None if note.deviation_cents is None else float(note.deviation_cents),
    }


def _name(name: ChordName) -> Document:
    harte = _harte(name.chord, name.missing)
    return _sparse(
        {
            "text": name.text,
            "harte": harte,
            "inversion": name.chord.inversion,
            "played_as": None if name.played_as is None else name.played_as.text,
            "probability": _share(name.probability),
            "missing": list(name.missing),
            "unexplained": list(name.unexplained),
        },
        label=name.label,
        chord=_spelled_out(name.chord, harte if name.label else ""),
        played_chord=None if name.played_as is None else _spelled_out(name.played_as, ""),
    )


@lru_cache(maxsize=1024)
def _harte(chord: Chord, missing: tuple[str, ...]) -> str:
    return chord_to_harte(chord, missing=missing)


@lru_cache(maxsize=1024)
def _spelled_out(chord: Chord, harte: str) -> Document | None:
    """Return the chord tone by tone where what is written of it does not give it back."""
    try:
        if (parse_harte(harte) if harte else parse_chord(chord.text)) == chord:
            return None
    except ChordSymbolError:
        pass
    quality = chord.quality
    return {
        "root": str(chord.root),
        "bass": None if chord.bass is None else str(chord.bass),
        "quality": quality.name,
        "symbol": quality.symbol,
        "harte": quality.harte,
        "tones": [str(tone) for tone in quality.tones],
        "optional": [str(tone) for tone in quality.optional],
    }


def _shape(reading: ShapeReading) -> Document:
    why, fingering = reading.why, reading.fingering
    return {
        "frets": list(reading.shape.frets),
        "fingers": list(fingering.fingers),
        "barres": [
            {"finger": b.finger, "fret": b.fret, "first_string": b.first_string, "last_string": b.last_string}
            for b in fingering.barres
        ],
        "effort": float(fingering.effort),
        "effort_parts": [[what, float(share)] for what, share in fingering.parts],
        "span_mm": float(fingering.span_mm),
        "reasons": [reason_text(reason) for reason in fingering.reasons],
        "playable": fingering.playable,
        "probability": _share(reading.probability),
        "why": {side: _finite(value) for side, value in (("ear", why.ear), ("hand", why.hand), ("book", why.book))},
        "same_sound": list(reading.same_sound),
    }


def _share(probability: float) -> float:
    """Return a probability inside its bounds: sums of many may be off by their last bit."""
    return min(1.0, max(0.0, float(probability)))


def _finite(log_odds: float) -> float:
    """Return log-odds that JSON can hold: beyond ±99 they mean "impossible" or "certain"."""
    return max(-99.0, min(99.0, float(log_odds)))
