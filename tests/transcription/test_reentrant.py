"""Strums on a re-entrant tuning: no string is the bass, a ukulele is strummed across (common practice, no source)."""

from __future__ import annotations

import pytest

from listen.export.strum_text import name_sentence
from listen.instrument import Shape, find_instrument
from listen.transcription import StrumSettings, read_evidence
from tests.voicing.test_fit import hear

UKULELE = find_instrument("ukulele").fretboard()


@pytest.mark.parametrize(
    ("shape", "names"),
    [("0003", ["C"]), ("2010", ["F"]), ("0232", ["G"]), ("2220", ["D"]), ("0212", ["G7"]), ("0000", ["Am7", "C6"])],
)
def test_a_beginners_chord_is_named_without_a_bass_and_held_on_every_string(shape: str, names: list[str]) -> None:
    held = Shape(tuple(map(int, shape)))
    sounding = {pitch.name: 6.0 for pitch in held.pitches(UKULELE) if pitch is not None}
    reading = read_evidence(hear(sounding), settings=StrumSettings(UKULELE))
    assert [name.text for name in reading.names[: len(names)]] == names
    assert reading.names[0].probability > 0.9
    assert reading.shapes[0].shape == held
    said = name_sentence(reading.names[0], reading)
    assert "position" not in said
    assert "lowest" not in said
