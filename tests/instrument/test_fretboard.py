"""The neck in millimetres and its open strings under a capo."""

from __future__ import annotations

import pytest

from listen.errors import BadValueError
from listen.instrument import Fretboard, find_instrument
from listen.theory import Pitch


@pytest.mark.parametrize(
    ("scale_mm", "fret", "distance_mm"),
    [  # 12-tone rule, as lutherie tables print it; 628.65 mm is 24.75 in, 650 classical, 864 a bass (from memory)
        (648.0, 1, 36.4),
        (648.0, 3, 103.1),
        (648.0, 5, 162.5),
        (648.0, 7, 215.5),
        (648.0, 12, 324.0),
        (628.65, 12, 314.3),
        (628.65, 1, 35.3),
        (650.0, 7, 216.2),
        (864.0, 12, 432.0),
    ],
)
def test_a_fret_lies_where_the_twelve_tone_rule_puts_it(scale_mm: float, fret: int, distance_mm: float) -> None:
    assert Fretboard(scale_length_mm=scale_mm).wire_mm(fret) == pytest.approx(distance_mm, abs=0.06)


def test_the_old_rule_of_eighteen_is_close_to_it() -> None:
    # Luthiers' rule: each fret takes 1/17.817 of what is left of the string.
    left = 648.0
    for fret in range(1, 13):
        left -= left / 17.817154
        assert Fretboard().wire_mm(fret) == pytest.approx(648.0 - left, abs=0.01)


def test_a_capo_raises_every_open_string_and_shortens_the_neck() -> None:
    neck = find_instrument("standard").fretboard(capo_fret=3)
    assert [pitch.name for pitch in neck.open_pitches] == ["G2", "C3", "F3", "Bb3", "D4", "G4"]
    assert neck.top_fret == 19
    assert neck.pitch_at(0, 2) == Pitch.parse("A2")
    assert neck.wire_mm(2) == pytest.approx(Fretboard().wire_mm(5))


def test_a_neck_that_cannot_be_is_refused() -> None:
    with pytest.raises(BadValueError, match="a fret from 0 to 19"):
        Fretboard(capo_fret=22)
    with pytest.raises(BadValueError, match="Count frets from the nut"):
        Fretboard(capo_fret=-1)
    with pytest.raises(BadValueError, match="4 to 36"):
        Fretboard(n_frets=99)
    with pytest.raises(BadValueError, match="200 to 1200 mm"):
        Fretboard(scale_length_mm=3.0)
