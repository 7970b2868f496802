from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from listen.instrument import STANDARD, Tuning, parse_shape, parse_tuning
from listen.voicing.book import HIGHEST_GRADE, grade_shapes, list_strummed_shapes
from listen.voicing.book_tables import MOVED_GRADE_LOSS
from tests.regenerate_book import render_book


def grade(text: str, tuning: Tuning = STANDARD) -> float:
    frets = [-1 if part == "x" else int(part) for part in text.split("-")]
    return float(grade_shapes(np.array([frets], dtype=np.int8), tuning)[0])


def test_the_book_is_what_its_script_writes() -> None:
    path = Path(__file__).parents[2] / "listen" / "voicing" / "book.txt"
    assert path.read_text(encoding="utf-8") == render_book()


def test_an_open_form_is_common_and_a_scattered_one_is_in_no_book() -> None:
    assert grade("x-0-2-2-2-0") == HIGHEST_GRADE
    assert grade("x-0-9-2-13-0") == 0


def test_a_form_without_open_strings_keeps_a_grade_wherever_it_is_moved() -> None:
    listed = grade("1-3-3-2-1-1")
    assert listed > 0
    assert grade("11-13-13-12-11-11") >= listed - MOVED_GRADE_LOSS


def test_a_neck_of_36_frets_is_told_apart_up_to_its_top() -> None:
    assert grade("x-3-2-0-1-0") > 0
    assert grade("31-2-2-0-1-0") == 0
    assert grade("34-36-36-35-34-34") >= grade("1-3-3-2-1-1") - MOVED_GRADE_LOSS


def test_power_chords_from_three_root_strings_are_forms_of_the_trade() -> None:
    # common practice, no source: root and fifth two frets apart, three across the second string
    for form in ("6-8-x-x-x-x", "x-6-8-8-x-x", "x-x-6-8-9-x"):
        assert grade(form) > 0


def test_root_third_and_seventh_are_forms_of_the_trade() -> None:
    # common practice, no source: shells on strings 6-4-3, 5-3-2 and 5-4-3
    forms = np.array([(8, -1, 8, 9, -1, -1), (-1, 5, -1, 5, 6, -1), (-1, 5, 3, 5, -1, -1)], np.int8)
    assert (grade_shapes(forms, STANDARD, partial=False) > 0).all()


@pytest.mark.parametrize(
    "form",
    ["x5455x", "x5445x", "x5454x", "x5756x", "x5757x", "x5767x", "x5758x", "x5777x", "x57577", "5x555x", "5x565x"],
)
def test_four_strings_that_hold_all_of_a_chord_are_forms_of_the_trade(form: str) -> None:
    """Common practice, no source: D9, D6/9, D7♭9, Dm7, D7, Dmaj7, D7sus4, D and D13 over A's string; Am7 and A7."""
    frets = np.array([[-1 if fret is None else fret for fret in parse_shape(form).frets]], np.int8)
    assert grade_shapes(frets, STANDARD, partial=False)[0] > 0.0


def test_a_ninth_chord_is_held_on_four_strings_as_often_as_on_five() -> None:
    assert grade("x-5-4-5-5-x") == grade("x-5-4-5-5-5") == HIGHEST_GRADE - MOVED_GRADE_LOSS


def test_the_book_holds_for_strings_a_standard_distance_apart() -> None:
    half_down = parse_tuning("Eb2 Ab2 Db3 Gb3 Bb3 Eb4")
    drop = parse_tuning("D2 A2 D3 G3 B3 E4")
    assert grade("x-0-2-2-2-0", half_down) == grade("x-0-2-2-2-0")
    assert grade("x-0-2-2-2-0", drop) == grade("x-0-2-2-2-0")
    assert grade("3-2-0-0-0-3", drop) == 0


def test_a_dropped_sixth_string_has_forms_of_its_own() -> None:
    # common practice, no source: power chords under one finger, D strummed whole
    dropped, lower = parse_tuning("D2 A2 D3 G3 B3 E4"), parse_tuning("C2 G2 C3 F3 A3 D4")
    for form in ("0-0-0-x-x-x", "7-7-7-x-x-x", "0-0-0-2-3-2"):
        assert grade(form, dropped) == grade(form, lower) > 0
        assert grade(form) < grade(form, dropped)
    assert grade("7-7-7-x-x-x", parse_tuning("DADGAD")) == 0


@pytest.mark.parametrize(
    ("tuning", "form"),
    [
        ("open G", "x-0-0-0-0-0"),
        ("open G", "x-7-7-7-7-7"),
        ("open G", "0-0-2-0-1-0"),
        ("open D", "5-5-5-5-5-5"),
        ("DADGAD", "0-0-0-2-0-0"),
        ("DADGAD", "7-x-7-0-0-0"),
        ("double drop D", "5-x-0-0-0-0"),
    ],
)
def test_an_open_tuning_has_forms_of_its_own(tuning: str, form: str) -> None:
    """Common practice, no source; so on a guitar that is tuned lower as a whole, too."""
    own = parse_tuning(tuning)
    lower = Tuning("lower", tuple(pitch.shifted(-1) for pitch in own.open_strings))
    assert grade(form, own) == grade(form, lower) >= 3.0
    assert grade(form, own) > grade(form)


def test_shapes_are_listed_for_the_tuning() -> None:
    dropped = parse_tuning("D2 A2 D3 G3 B3 E4")
    for tuning, is_there in ((STANDARD, (True, False)), (dropped, (False, True))):
        frets, _ = list_strummed_shapes(12, tuning)
        rows = {tuple(row) for row in frets.tolist()}
        assert ((3, 2, 0, 0, 0, 3) in rows, (0, 0, 0, 2, 3, 2) in rows) == is_there
        assert (-1, 3, 2, 0, 1, 0) in rows


def test_an_instrument_with_fewer_strings_has_no_book() -> None:
    assert grade("0-0-0-3", parse_tuning("G4 C4 E4 A4")) == 0
