"""Everywhere some notes can be held."""

from __future__ import annotations

import random
from itertools import product

import pytest

from listen.errors import BadValueError
from listen.instrument import Fretboard, Shape, best_fingering, find_instrument
from listen.theory import Pitch
from listen.voicing import find_places


def parse(text: str) -> list[Pitch]:
    return [Pitch.parse(name) for name in text.split()]


def test_a_full_open_chord_lies_in_few_places() -> None:
    assert [shape.text for shape in find_places(parse("E2 B2 E3 G#3 B3 E4"))] == ["022100"]
    assert "x32010" in {shape.text for shape in find_places(parse("C3 E3 G3 C4 E4"))}


def test_every_place_sounds_exactly_the_notes() -> None:
    wanted = parse("E3 G3 C4")
    for shape in find_places(wanted):
        assert sorted(pitch for pitch in shape.pitches(Fretboard()) if pitch) == wanted
        assert best_fingering(shape, Fretboard()).playable


def test_a_note_given_twice_is_held_on_two_strings() -> None:
    assert "xxxx50" in {shape.text for shape in find_places(parse("E4 E4"))}


def test_places_equal_trying_everything_on_short_necks() -> None:
    rng = random.Random(5)
    neck = Fretboard(find_instrument("tenor guitar").tuning, 7)
    sounding = sorted({pitch.shifted(fret) for pitch in neck.open_pitches for fret in range(8)})
    for _ in range(25):
        wanted = sorted(rng.choices(sounding, k=rng.choice([1, 2, 3, 4])))
        rows = product([None, *range(8)], repeat=4)
        slow = {
            frets
            for frets in rows
            if sorted(pitch for pitch in Shape(frets).pitches(neck) if pitch is not None) == wanted
        }
        found = find_places(wanted, fretboard=neck, playable=False)
        assert {shape.frets for shape in found} == slow
        assert len(found) == len(slow)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "1 to 6 notes"),
        ("E2 F2 G2 A2 B2 C3 D3", "1 to 6 notes"),
        ("C2", "from E2 to D6"),
        ("C8 E4", "notes that a string of this neck has"),
    ],
)
def test_notes_that_the_neck_does_not_have_are_refused(text: str, sentence: str) -> None:
    with pytest.raises(BadValueError, match=sentence):
        find_places(parse(text))


def test_two_notes_of_one_string_have_no_place() -> None:
    assert find_places(parse("E2 F2")) == ()
