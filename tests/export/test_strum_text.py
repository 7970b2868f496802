"""What a person reads about a strum."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from listen.export import StrumView, TextStyle, render_take_text
from listen.export.labels import degree_of, note_of
from listen.export.style import visible_width
from listen.reading import ChordName
from listen.theory import Pitch, parse_chord
from tests.export.scenes import WHISTLE, make_refusal, make_take


def _text(style: TextStyle | None = None, view: StrumView | None = None) -> str:
    return "\n".join(render_take_text(make_take(), style=style or TextStyle(), view=view))


def test_the_four_questions_are_answered() -> None:
    text = _text()
    assert "G/B   95 % sure" in text
    assert "G major, first inversion; lowest note B2 (99 %)." in text
    assert "B2        98 %  2 cents sharp" in text
    assert "1  x20003  71 %" in text


def test_other_readings_warnings_and_other_strums_are_said() -> None:
    text = _text()
    assert "Or: Em7/B 3 %" in text
    assert "Note: The loudest peaks are clipped" in text
    assert "--at 4.2 reads that one" in text


def test_why_shows_the_three_shares_and_explains_them() -> None:
    assert "ear −1.9" not in _text()
    text = _text(view=StrumView(why=True))
    assert "ear −1.9" in text
    assert "+2.3 is ten to one for it" in text.replace("\n  ", " ")


def test_number_of_shapes_is_the_users_choice() -> None:
    text = _text(view=StrumView(n_shapes=1))
    assert "1  x20003" in text
    assert "x2003x" not in text


def test_a_refusal_is_a_sentence_and_no_chord() -> None:
    text = "\n".join(render_take_text(make_refusal(), style=TextStyle()))
    assert "Only noise was heard." in text
    assert "sure" not in text


@pytest.mark.parametrize("width", [40, 72, 100])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    for line in render_take_text(make_take(), style=TextStyle(width=width), view=StrumView(why=True)):
        assert visible_width(line) <= width


def test_capo_is_named_where_frets_are_counted() -> None:
    text = "\n".join(render_take_text(make_take(("x32010",), ("Eb",), capo_fret=3), style=TextStyle()))
    assert "Frets count from the capo at fret 3." in text.replace("\n  ", " ")
    assert "█" in text


def test_plain_letters_are_plain_to_the_last_sign() -> None:
    assert _text(TextStyle(unicode=False), StrumView(why=True)).isascii()


def test_a_hostile_file_name_is_shown_and_not_obeyed() -> None:
    lines = render_take_text(make_take(file=WHISTLE), style=TextStyle())
    assert lines[0].startswith("take <1> & ?[31mred.wav")


def test_words_take_the_place_of_pictures() -> None:
    lines = render_take_text(make_take(), style=TextStyle(width=72, pictures=False))
    text = "\n".join(lines)
    assert "string 5 fret 2 with the" in text.replace("\n  ", " ")
    assert "B2        98 %  2 cents sharp" in text
    assert "1  x20003  71 %" in text
    assert not set(text) & set("┼║─┃")
    assert max(map(visible_width, lines)) <= 72


@pytest.mark.parametrize("width", [40, 56, 62, 66, 72])
def test_a_narrow_terminal_loses_no_note_that_was_heard(width: int) -> None:
    """What stands beside the strings is shortened, or goes below them: all of it, never some."""
    text = _text(TextStyle(width=width))
    rows = re.findall(r"^  .*\b[A-G]\d +\d+ %(.*)$", text, re.MULTILINE)
    assert len(rows) == len(make_take().reading.notes)
    assert len({"cents" in row for row in rows}) == 1
    assert all(visible_width(line) <= width for line in text.splitlines())


def test_names_of_the_same_notes_share_a_percentage() -> None:
    take = make_take()
    chances = (("Em7", 0.86), ("G6/E", 0.86), ("G/B", 0.14))
    names = tuple(ChordName(parse_chord(text), chance) for text, chance in chances)
    told = replace(take, reading=replace(take.reading, names=names))
    text = "\n".join(render_take_text(told, style=TextStyle()))
    assert "The same notes are also G6/E." in text
    assert "Or: G/B 14 %." in text
    assert text.count("86 %") == 1
    even = replace(take.reading, names=(names[0], replace(names[2], probability=0.855)))
    text = "\n".join(render_take_text(replace(take, reading=even), style=TextStyle()))
    assert "same notes" not in text  # as likely, and of other notes


def test_a_poorer_name_for_the_same_notes_has_no_percentage_of_its_own() -> None:
    take = make_take()
    names = (
        ChordName(parse_chord("Dm/F"), 0.99),
        ChordName(parse_chord("F6"), 0.03, missing=("5",)),
        ChordName(parse_chord("F"), 0.02, missing=("5",)),
    )
    told = replace(take, reading=replace(take.reading, names=names))
    text = "\n".join(render_take_text(told, style=TextStyle()))
    assert "Less plainly, the same notes are F6 without its 5." in text
    assert "Or: F 2 % (without its 5)." in text


def test_a_family_of_chords_shows_the_tones_that_a_shape_has() -> None:
    """Common practice, no source: an altered dominant's ninths and fifths."""
    chord = parse_chord("C7alt")
    assert [degree_of(Pitch.parse(note), chord) for note in ("Db4", "D#4", "Gb4", "G#4")] == ["b9", "#9", "b5", "#5"]
    assert [note_of(Pitch.parse(note), chord) for note in ("Db4", "D#4", "Gb4", "G#4")] == ["Db", "D#", "Gb", "G#"]


def test_braces_are_explained_where_a_string_was_held_and_did_not_sound() -> None:
    take = make_take()
    assert "{ }" not in _text()
    first, *others = take.reading.shapes
    held = replace(take, reading=replace(take.reading, shapes=(replace(first, silent=(1,)), *others)))
    text = "\n".join(render_take_text(held, style=TextStyle()))
    assert re.search(r"\{.\}", text.split("open, ×")[0].replace("{ }", ""))
    assert "{ } held, did not sound" in text.replace("\n  ", " ")
