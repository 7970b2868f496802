"""The shape that a chord is usually held in, where none was set."""

from __future__ import annotations

import pytest

from listen.assessment import find_usual_shape
from listen.instrument import Fretboard
from listen.theory import parse_chord


@pytest.mark.parametrize(
    ("name", "frets"),
    [("Fmaj7", "xx3210"), ("Ebmaj7", "xx1333"), ("F", "133211"), ("D", "xx0232")],
)
def test_a_chord_is_held_as_it_is_held_most(name: str, frets: str) -> None:
    shape = find_usual_shape(parse_chord(name), Fretboard(), ())
    assert shape is not None
    assert shape.text == frets
