"""A bass that steps down under a held chord; what its chords are called is common practice, no source."""

from __future__ import annotations

import pytest

from listen.instrument import Fretboard, parse_shape
from listen.transcription.part import read_part_evidence
from tests.transcription.written_strokes import hear_bars


def _name(shapes: str) -> list[str]:
    sounds = [
        tuple(pitch.midi for pitch in parse_shape(text).pitches(Fretboard()) if pitch is not None)
        for text in shapes.split()
    ]
    part = read_part_evidence(hear_bars(tuple(midis for midis in sounds for _ in range(4))))
    return [span.names[0].text for span in part.spans]


@pytest.mark.parametrize(
    ("shapes", "names"),
    [
        ("x02210 4x2210 3x2210 2x2210 022100", ["Am", "Am/G#", "Am/G", "Am/F#", "E"]),
        ("x02210 2x2210 x21202 022000", ["Am", "F#m7b5", "B7", "Em"]),  # a leap in the bass is no line
        ("x02210 3x2210 1x2210 022100", ["Am", "Am/G", "Fmaj7", "E"]),  # plain names stay
    ],
)
def test_a_bass_that_steps_on_keeps_the_chord_above_it(shapes: str, names: list[str]) -> None:
    assert _name(shapes) == names
