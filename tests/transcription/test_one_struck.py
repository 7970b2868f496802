"""Strings that ring along are no chord; strings that were struck more softly are."""

from __future__ import annotations

import pytest

from listen.reading import StrumReading
from listen.synthesis import PluckedNote, Tone, render_notes
from listen.theory import Pitch
from listen.transcription import read_strum

OPEN = ("E2", "A2", "D3", "G3", "B3")
TONE = Tone(sample_rate_hz=22_050)


def _read(*, under_db: float) -> StrumReading:
    """Read E♭5 at fret 11, beside open strings that lie so far under it."""
    struck = PluckedNote(0.3, Pitch.parse("D#5"), string=5, kind=5, fret=11)
    others = [
        PluckedNote(0.3, Pitch.parse(name), string=place, kind=place, level_db=-under_db)
        for place, name in enumerate(OPEN)
    ]
    return read_strum(render_notes([struck, *others], tone=TONE, duration_s=2.5), sample_rate_hz=22_050)


@pytest.mark.parametrize("under_db", [35.0, 40.0])
def test_a_note_beside_strings_that_ring_along_is_named_no_chord(under_db: float) -> None:
    reading = _read(under_db=under_db)
    assert reading.names == ()
    assert reading.refused is not None
    assert reading.refused.startswith("Only Eb5 was struck: what else sounds lies ")
    assert len(reading.notes) > 2


def test_strings_that_were_struck_more_softly_make_a_chord() -> None:
    assert _read(under_db=18.0).refused is None
