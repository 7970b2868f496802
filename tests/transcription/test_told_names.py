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


def test_where_a_person_says_that_no_chord_sounds_none_is_held() -> None:
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + (F,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    plain = read_part_evidence(heard, settings=SETTINGS)
    number = plain.events[plain.spans[1].first_event].number
    told = replace(SETTINGS, corrections=(Correction("name", "N.C.", number),))
    part = read_part_evidence(heard, settings=told)
    assert [span.name.text for span in part.spans if span.name is not None] == ["C", "F"]
    silenced = [event for event in part.events if event.span_index is None]
    assert len(silenced) == 4
    assert {stroke.kind for event in silenced for stroke in event.strokes} == {"muted"}
    assert [event.number for event in part.events] == [event.number for event in plain.events]
    back = replace(SETTINGS, corrections=(Correction("name", "Em", number),))
    assert read_part_evidence(heard, settings=back).spans[1].name.text == "Em"  # type: ignore[union-attr]
