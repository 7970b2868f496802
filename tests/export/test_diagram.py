"""What a diagram holds: windows, labels, forms, words."""

from __future__ import annotations

import music21
import pytest

from listen.export import chord_to_diagram, shape_to_diagram
from listen.export.describe import describe_inversion, describe_shape
from listen.export.diagram import find_window
from listen.export.labels import pitch_text
from listen.instrument import Fretboard, Shape, best_fingering, parse_shape
from listen.theory import Pitch, parse_chord

NECK = Fretboard()


@pytest.mark.parametrize(
    ("text", "window"),
    [("x32010", (1, 4)), ("133211", (1, 4)), ("xx0232", (1, 4)), ("x-7-6-6-x-x", (6, 9)), ("000000", (1, 4))],
)
def test_window_begins_at_the_nut_while_four_frets_reach(text: str, window: tuple[int, int]) -> None:
    assert find_window(parse_shape(text).frets, top_fret=22) == window


def test_window_never_leaves_the_neck() -> None:
    assert find_window((None, 22, 21, None, None, None), top_fret=22) == (19, 22)


def test_window_of_a_wide_shape_shows_all_of_it() -> None:
    first, last = find_window((3, None, None, None, None, 9), top_fret=22)
    assert (first, last) == (3, 9)


def test_every_sounding_string_has_a_mark_and_every_other_is_unplayed() -> None:
    diagram = shape_to_diagram(parse_shape("x32010"), NECK, chord=parse_chord("C"), labels="note")
    assert {(m.string_index, m.fret) for m in diagram.marks} == {(1, 3), (2, 2), (3, 0), (4, 1), (5, 0)}
    assert diagram.unplayed == (0,)


def test_root_is_marked_by_form_in_every_octave() -> None:
    diagram = shape_to_diagram(parse_shape("x32010"), NECK, chord=parse_chord("C"), labels="degree")
    assert [(m.label, m.form) for m in diagram.marks] == [
        ("1", "root"), ("3", "tone"), ("5", "tone"), ("1", "root"), ("3", "tone"),
    ]  # fmt: skip


def test_map_shows_exactly_the_tones_of_the_chord() -> None:
    chord = parse_chord("Bm7b5")
    diagram = chord_to_diagram(chord, NECK)
    expected = {
        (string, fret)
        for string in range(6)
        for fret in range(23)
        if NECK.pitch_at(string, fret).pitch_class in chord.pitch_classes
    }
    assert {(m.string_index, m.fret) for m in diagram.marks} == expected


def test_map_of_a_part_of_the_neck_leaves_out_the_open_strings() -> None:
    diagram = chord_to_diagram(parse_chord("E"), NECK, frets=(5, 9))
    assert {m.fret for m in diagram.marks} <= set(range(5, 10))


def test_spelling_of_a_note_follows_its_chord_and_octave_its_letter() -> None:
    # C flat 4 sounds as B3 (scientific pitch notation, ISO 16; from memory)
    assert pitch_text(Pitch.parse("B3"), parse_chord("Abm")) == "Cb4"
    assert pitch_text(Pitch.parse("C4"), parse_chord("G#")) == "B#3"


@pytest.mark.parametrize(
    ("symbol", "words"),
    [
        ("G", "root position"),
        ("G/B", "first inversion"),
        ("Gm7/D", "second inversion"),
        ("G7/F", "third inversion"),
        ("Gsus4/C", "the 4 in the bass"),
        ("D/C", "C in the bass, a note from outside the chord"),
    ],
)  # names of inversions: common practice, no source
def test_inversion_is_said_in_words(symbol: str, words: str) -> None:
    assert describe_inversion(parse_chord(symbol)) == words


def test_description_says_every_string_finger_and_root() -> None:
    shape = parse_shape("xx0232")
    text = describe_shape(shape, NECK, fingering=best_fingering(shape, NECK), chord=parse_chord("D"))
    assert text == (
        "String 6 not played; string 5 not played; string 4 open, D3, the root; string 3 fret 2 with the index finger, "
        "A3; string 2 fret 3 with the ring finger, D4, the root; string 1 fret 2 with the middle finger, F♯4."
    )


def test_description_says_where_frets_are_counted_from() -> None:
    text = describe_shape(Shape((None, 3, 2, 0, 1, 0)), Fretboard(capo_fret=3))
    assert text.endswith("Frets count from the capo at fret 3.")


@pytest.mark.parametrize(("symbol", "frets"), [("C/E", "032010"), ("G/B", "x20003"), ("Am7/G", "302010")])
def test_the_root_of_an_inversion_is_what_music21_calls_its_root_and_not_its_bass(symbol: str, frets: str) -> None:
    root = music21.harmony.ChordSymbol(symbol).root().pitchClass
    diagram = shape_to_diagram(parse_shape(frets), NECK, chord=parse_chord(symbol))
    assert diagram.marks
    for mark in diagram.marks:
        sounds = NECK.pitch_at(mark.string_index, mark.fret).pitch_class
        assert (mark.form == "root") == (sounds == root)
