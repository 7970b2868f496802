"""What a person reads about a shape's names."""

from __future__ import annotations

from listen.export import TextStyle, render_name_text, render_notes_name_text
from listen.export.style import visible_width
from listen.harmony import Neighbour
from listen.instrument import Fretboard, Shape, best_fingering, parse_shape
from listen.reading import ChordName
from listen.theory import Pitch, parse_chord

NECK = Fretboard()
NAMES = (
    ChordName(parse_chord("F#m7b5"), 0.8),
    ChordName(parse_chord("Am6/F#"), 0.19, missing=("5",)),
    ChordName(parse_chord("C"), 0.001),
)


def _text(width: int = 80) -> tuple[str, ...]:
    shape = parse_shape("2x221x")
    return render_name_text(
        shape,
        NECK,
        NAMES,
        fingering=best_fingering(shape, NECK),
        style=TextStyle(width=width),
        neighbours=(Neighbour(Shape((2, None, 2, 2, 2, None)), "move the finger on string 2, fret 2", NAMES[0]),),
    )


def test_names_come_with_degrees_inversion_and_what_speaks_against_them() -> None:
    text = "\n".join(_text())
    assert "F♯ half-diminished seventh, root position" in text
    assert "Am6/F♯: A minor sixth, the 6 in the bass; without its 5 (19 %)" in text
    assert "degrees  1   × ♭7 ♭3 ♭5 ×" in text
    assert "notes    F♯2 × E3 A3 C4 ×" in text


def test_a_name_below_one_per_cent_is_not_worth_a_line() -> None:
    assert "C major" not in "\n".join(_text())


def test_neighbours_say_what_the_finger_does() -> None:
    assert "    2x222x  F♯m7♭5  move the finger on string 2, fret 2" in _text()


def test_lines_stay_within_the_width() -> None:
    for width in (40, 60, 100):
        assert max(map(visible_width, _text(width))) <= width


def test_a_note_and_its_octave_are_no_chord() -> None:
    text = "\n".join(render_notes_name_text((Pitch.parse("E2"), Pitch.parse("E3")), (), style=TextStyle()))
    assert "Only E2 and E3: one note, or a note and its octaves, is no chord." in text


def test_notes_are_echoed_as_they_were_typed() -> None:
    typed = ("E3", "bb3", "Db4", "A4")
    names = (ChordName(parse_chord("Bbdim(maj7)/E"), 0.69),)
    lines = render_notes_name_text(tuple(map(Pitch.parse, typed)), names, style=TextStyle(), typed=typed)
    assert lines[0] == "E3 B♭3 D♭4 A4"
    assert "  notes    E3 B♭3 D♭4 A4" in lines, "and no F♭3, whatever the chord's spelling"
