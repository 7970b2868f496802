"""What changes between two chords of the same root."""

from __future__ import annotations

import pytest

from listen.errors import BadValueError
from listen.instrument import Fretboard, parse_shape
from listen.theory import QUALITIES, Chord, Note, parse_chord
from listen.voicing import compare_chords, compare_shapes, find_nearest_shape


@pytest.mark.parametrize(
    ("one", "other", "changes"),
    [
        ("C", "Cm", ["3 moved b3"]),
        ("C", "C7", ["None added b7"]),
        ("C7", "Cmaj7", ["b7 moved 7"]),
        ("C", "Csus4", ["3 moved 4"]),
        ("C", "Csus2", ["3 moved 2"]),
        ("C7", "C6", ["b7 moved 6"]),
        ("Cm7", "Cm7b5", ["5 moved b5"]),
        ("C9", "C7", ["9 dropped None"]),
        ("C", "C5", ["3 dropped None"]),
        ("C", "C/E", []),
    ],
)
def test_tones_move_come_and_go(one: str, other: str, changes: list[str]) -> None:
    found = compare_chords(parse_chord(one), parse_chord(other))
    said = [" ".join(map(str, (change.before, change.kind, change.after))) for change in found if change.kind != "kept"]
    assert said == changes


def test_every_tone_of_both_chords_is_accounted_for_once() -> None:
    for one in QUALITIES[::3]:
        for other in QUALITIES[::5]:
            found = compare_chords(Chord(Note("C"), one), Chord(Note("C"), other))
            assert [change.before for change in found if change.before is not None] == list(one.tones)
            afters = [change.after for change in found if change.after is not None]
            assert sorted(afters) == sorted(other.tones)


def test_chords_of_other_roots_are_not_compared() -> None:
    with pytest.raises(BadValueError, match=r"^compare=C and Am7 .* Compare with Cm7\.$"):
        compare_chords(parse_chord("C"), parse_chord("Am7"))


def test_the_string_that_changes_is_named() -> None:
    neck = Fretboard()
    changes = compare_shapes(parse_shape("x02220"), parse_shape("x02210"), parse_chord("A"), parse_chord("Am"), neck)
    assert len(changes) == 1
    only = changes[0]
    assert (only.string_index, only.before_fret, only.after_fret) == (4, 2, 1)
    assert (str(only.before), str(only.after)) == ("3", "b3")


@pytest.mark.parametrize(("text", "name", "nearest"), [("133211", "Fm", "133111"), ("022100", "E7", "020100")])
def test_the_nearest_shape_moves_least(text: str, name: str, nearest: str) -> None:
    assert find_nearest_shape(parse_shape(text), parse_chord(name), Fretboard()).shape.text == nearest
