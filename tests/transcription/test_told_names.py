"""A chord that a person names is held as players hold it, with its own bass lowest."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import PartEvidence, TimeSpan
from listen.instrument import STANDARD
from listen.reading import Correction
from listen.transcription import PartSettings
from listen.transcription.part import read_part_evidence
from tests.transcription.written_strokes import C, F, G, hear_strokes

SETTINGS = PartSettings(tuning=STANDARD, capo_fret=0)


@pytest.mark.parametrize(
    ("symbol", "shape"),
    [("G", "320003"), ("Am", "x02210"), ("D", "xx0232"), ("E", "022100"), ("F", "133211"), ("Cmaj7", "x32000")],
)
def test_a_chord_heard_as_another_gets_the_usual_shape_of_its_name(symbol: str, shape: str) -> None:
    """Usual shapes: common practice, no source."""
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + (F,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    told = replace(SETTINGS, corrections=(Correction("name", symbol, 1),))
    span = read_part_evidence(heard, settings=told).spans[0]
    assert span.name is not None
    assert span.name.text == symbol
    assert span.shape is not None
    assert span.shape.shape.text == shape
