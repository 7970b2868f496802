"""What was heard, packed and unpacked: the same to the last digit, and nothing where it is damaged."""

from __future__ import annotations

import math
import zlib

import numpy as np

from listen.document import pack_part_evidence, unpack_part_evidence
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


def make_evidence() -> PartEvidence:
    """Return evidence of two strokes with every kind of field."""
    strings = (-math.inf, 0.1, 2.3, -1.0, -math.inf, 1 / 3)
    pitches = (
        PitchEvidence(Pitch(40), 4.25, 3.1, strings, -2.5, Measured(0.01, 0.002), None, Measured(-3.0, 1.0)),
        PitchEvidence(Pitch(47), -2.0, -9.0, partials=(Partial(1, 123.4, -3.0), Partial(2, 247.1, -9.5, shared=True))),
    )
    span = TimeSpan(0.1, 1.7)
    strum = StrumEvidence(span, pitches, 1.25, "down")
    first = Stretch.of(strum, (0, 0), span).without(frozenset({47}))
    second = Stretch.of(StrumEvidence(span, (), no_chord_reason="Drums."), (1, 1), TimeSpan(1.7, 2.0))
    strokes = (
        StrokeEvidence(0.1, -20.5, -3.0, lean=1.5, low_share=0.3, rises={40: 12.5}, late=0.25),
        StrokeEvidence(1.7, -30.0, is_hit=True),
    )
    return PartEvidence(
        TimeSpan(0.0, 2.0), strokes, (first, second), (TuningPoint(0.1, 3.3),), (TimeSpan(1.9, 2.0),), 3, complete=False
    )


def test_evidence_is_unpacked_as_it_was_packed() -> None:
    heard = make_evidence()
    again = unpack_part_evidence(pack_part_evidence(heard))
    assert again is not None
    assert (again.span, again.strokes, again.tuning, again.quiet) == (
        heard.span,
        heard.strokes,
        heard.tuning,
        heard.quiet,
    )
    assert (again.n_clipped, again.complete) == (3, False)
    for one, other in zip(again.stretches, heard.stretches, strict=True):
        for field in ("evidence", "ringing", "span", "first", "last", "is_picked"):
            assert getattr(one, field) == getattr(other, field), field
        assert np.array_equal(one.log_odds, other.log_odds)
        assert np.array_equal(one.bass_log_odds, other.bass_log_odds)
        assert (one.ringing, one.span, one.first, one.is_picked) == (
            other.ringing,
            other.span,
            other.first,
            other.is_picked,
        )


def test_damaged_evidence_is_no_evidence() -> None:
    packed = pack_part_evidence(make_evidence())
    assert unpack_part_evidence(packed[:-20]) is None
    assert unpack_part_evidence(b"no such thing") is None
    assert unpack_part_evidence(zlib.compress(b'{"span": [0, 1]}')) is None
    assert unpack_part_evidence(zlib.compress(b"[1, 2")) is None
