"""An alternating thumb holds one chord, called by the bass that it begins with (common practice, no source)."""

from __future__ import annotations

import pytest

from listen.harmony.naming import rank_names
from listen.instrument import Fretboard
from listen.reading import StrumReading
from listen.theory import Pitch
from listen.transcription.alternating_basses import name_over_first_basses
from listen.transcription.held_chords import HeldChord
from tests.transcription.written_strokes import hear_strokes

TREBLES = (52, 60)
C_BAR = ((48, 64), TREBLES, (43, 64), TREBLES)  # fifth string, two inner ones, sixth string, the same again
AM_BAR = ((45, 64), TREBLES, (40, 64), TREBLES)
WITH_G, WITH_E = frozenset({43, 48, 52, 55, 60, 64}), frozenset({40, 45, 52, 57, 60, 64})  # 332010, 002210


def _name(row: tuple[tuple[int, ...], ...], pitches: frozenset[int], *, is_picked: bool = True) -> StrumReading:
    stretches, _ = hear_strokes(row)
    for one in stretches:
        object.__setattr__(one, "is_picked", is_picked)
    names = rank_names([Pitch(midi) for midi in sorted(pitches)])
    reading = StrumReading(stretches[0].evidence, Fretboard(), names=names)
    (named,) = name_over_first_basses([HeldChord(tuple(stretches), pitches)], [reading])
    return named


@pytest.mark.parametrize(
    ("row", "pitches", "name"),
    [
        (C_BAR, WITH_G, "C"),
        (AM_BAR, WITH_E, "Am"),
        ((C_BAR[2], C_BAR[1], C_BAR[0], C_BAR[1]), WITH_G, "C/G"),  # from the sixth string on
        ((TREBLES, *C_BAR[1:]), WITH_G, "C/E"),
    ],
)
def test_a_picked_chord_is_named_over_the_bass_that_it_begins_with(
    row: tuple[tuple[int, ...], ...], pitches: frozenset[int], name: str
) -> None:
    assert _name(row, pitches).names[0].text == name


def test_a_strummed_chord_keeps_its_lowest_note() -> None:
    assert _name(C_BAR, WITH_G, is_picked=False).names[0].text == "C/G"
