"""What was heard of a part, on disk, so that a part can be corrected without being heard again.

A cache of the program's own, not a document: it is made again when it is lost, and carries no format of its own. It is
JSON in zlib, which holds nothing that could run; anything odd in it reads as nothing.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from listen.document.kept import pack_kept, unpack_kept
from listen.evidence import (
    Measured,
    PartEvidence,
    Partial,
    PitchEvidence,
    Stretch,
    StrokeEvidence,
    StrumEvidence,
    TimeSpan,
    TuningPoint,
)
from listen.theory import Pitch


def pack_part_evidence(heard: PartEvidence) -> bytes:
    """Return evidence as bytes; numbers are kept exactly."""
    plain = {
        "span": _span(heard.span),
        "strokes": [
            [
                *(one.onset_s, one.level_db, one.sustain_db, one.is_hit, one.lean, one.low_share),
                *(list(one.rises.items()), one.late),
            ]
            for one in heard.strokes
        ],
        "stretches": [_stretch(one) for one in heard.stretches],
        "tuning": [[point.time_s, point.offset_cents] for point in heard.tuning],
        "quiet": [_span(span) for span in heard.quiet],
        "n_clipped": heard.n_clipped,
        "complete": heard.complete,
        "breaks_off": heard.breaks_off,
    }
    return pack_kept(plain)


def unpack_part_evidence(packed: bytes) -> PartEvidence | None:
    """Return evidence from bytes; None where they are damaged, or were written by another version."""
    plain = unpack_kept(packed)
    try:
        return PartEvidence(
            TimeSpan(*plain["span"]),
            tuple(
                StrokeEvidence(onset_s, level_db, sustain_db, is_hit, lean, low_share, _to_rises(rises), late)
                for onset_s, level_db, sustain_db, is_hit, lean, low_share, rises, late in plain["strokes"]
            ),
            tuple(_to_stretch(one) for one in plain["stretches"]),
            tuple(TuningPoint(*one) for one in plain["tuning"]),
            tuple(TimeSpan(*one) for one in plain["quiet"]),
            plain["n_clipped"],
            plain["complete"],
            plain.get("breaks_off", False),
        )
    except (ValueError, TypeError, KeyError, IndexError, OverflowError):
        return None


def _to_rises(plain: list[list[float]]) -> dict[int, float]:
    return {int(midi): float(rise) for midi, rise in plain}


def _span(span: TimeSpan) -> list[float]:
    return [float(span.start_s), float(span.end_s)]


def _stretch(one: Stretch) -> dict[str, Any]:
    return {
        "strokes": [one.first, one.last],
        "span": _span(one.span),
        "evidence": _strum(one.evidence),
        "log_odds": one.log_odds.tolist(),
        "bass_log_odds": one.bass_log_odds.tolist(),
        "ringing": sorted(one.ringing),
        "is_picked": bool(one.is_picked),
    }


def _to_stretch(plain: dict[str, Any]) -> Stretch:
    first, last = plain["strokes"]
    return Stretch(
        first,
        last,
        TimeSpan(*plain["span"]),
        _to_strum(plain["evidence"]),
        np.asarray(plain["log_odds"], dtype=np.float64),
        np.asarray(plain["bass_log_odds"], dtype=np.float64),
        frozenset(plain["ringing"]),
        plain["is_picked"],
    )


def _strum(one: StrumEvidence) -> dict[str, Any]:
    return {
        "span": _span(one.span),
        "pitches": [_pitch(pitch) for pitch in one.pitches],
        "offset": one.tuning_offset_cents,
        "direction": one.direction,
        "reason": one.no_chord_reason,
    }


def _to_strum(plain: dict[str, Any]) -> StrumEvidence:
    pitches = tuple(_to_pitch(one) for one in plain["pitches"])
    return StrumEvidence(TimeSpan(*plain["span"]), pitches, plain["offset"], plain["direction"], plain["reason"])


def _pitch(one: PitchEvidence) -> list[Any]:
    physics = [None if each is None else [each.value, each.sigma] for each in _physics_of(one)]
    partials = [[each.number, each.frequency_hz, each.level_db, each.shared] for each in one.partials]
    return [
        one.pitch.midi,
        one.log_odds,
        one.bass_log_odds,
        one.string_log_odds,
        one.deviation_cents,
        physics if any(each is not None for each in physics) else None,
        partials,
        one.rise_db,
    ]


def _physics_of(one: PitchEvidence) -> tuple[Measured | None, ...]:
    return one.onset_s, one.stiffness, one.brightness, one.decay_s


def _to_pitch(plain: list[Any]) -> PitchEvidence:
    midi, log_odds, bass_log_odds, strings, deviation, physics, partials, rise_db = plain
    onset_s, stiffness, brightness, decay_s = (
        None if each is None else Measured(*each) for each in physics or [None] * 4
    )
    return PitchEvidence(
        Pitch(midi),
        log_odds,
        bass_log_odds,
        None if strings is None else tuple(strings),
        deviation,
        onset_s,
        stiffness,
        brightness,
        decay_s,
        tuple(Partial(*each) for each in partials),
        rise_db,
    )
