"""``listen name``: names, degrees, inversions, other readings, neighbours; and frets that are none."""

from __future__ import annotations

import json

import jsonschema
import pytest

from listen.document import load_schema
from tests.cli.runner import run_listen, run_wrong


def test_a_shape_is_named_with_degrees_and_inversion() -> None:
    out = run_listen("name", "x-7-6-6-x-x").out
    assert "C♯m/E" in out
    assert "first inversion" in out
    assert "degrees  × ♭3 5   1   × ×" in out
    assert "E6" in out  # the other reading


def test_neighbours_are_one_finger_away() -> None:
    out = run_listen("name", "x32010").out
    assert "Cadd9" in out
    assert "lift the finger from string 4" in out


@pytest.mark.parametrize("words", [("x32010",), ("x", "3", "2", "0", "1", "0"), ("x-3-2-0-1-0",), ("x,3,2,0,1,0",)])
def test_frets_are_read_in_every_usual_form(words: tuple[str, ...]) -> None:
    assert "C major, root position" in run_listen("name", *words).out


def test_notes_are_named_too() -> None:
    assert "C major, first inversion" in run_listen("name", "E3", "G3", "C4").out


def test_a_capo_gives_both_names() -> None:
    document = json.loads(run_listen("name", "x32010", "--capo", "3", "--json").out)
    assert document["names"][0]["text"] == "Eb"
    assert document["names"][0]["played_as"] == "C"


def test_strings_keep_their_own_names_under_a_capo() -> None:
    # players go on to call them E, A, D ... (common practice, no source); a mark says what an open one sounds
    out = run_listen("name", "x32010", "--capo", "4").out
    assert "  B     █[1]" in out
    assert "A♭ " not in out


def test_a_note_that_is_left_over_is_spelled_in_one_way() -> None:
    out = run_listen("name", "xx5x54").out
    assert "G♯ is left over" in out
    assert "notes    × × G3 × E4 G♯4" in out
    assert "A♭4" not in out
    document = json.loads(run_listen("name", "xx5x54", "--json").out)
    assert document["names"][0]["probability"] <= 0.5


def test_json_is_what_the_schema_says() -> None:
    for words in (("x2323x",), ("133211",), ("0003", "--tuning", "ukulele"), ("022xxx",)):
        document = json.loads(run_listen("name", "--json", *words).out)
        jsonschema.Draft202012Validator(load_schema("name")).validate(document)
        assert document["names"]


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("x3201",), "6 strings"),
        (("x32z10",), "z"),
        (("40-x-x-x-x-x",), "40"),
        (("x320100",), "7"),
        (("x" * 3_000,), "strings"),
        (("x" * 10_000,), "no word here takes over 4096"),
        (("",), "strings"),
        (("xxxxxx",), "sounds"),
        (("C", "E", "G"), "with their octaves. Write C3 E3 G3"),
        (("Am7",), "'listen shapes Am7' shows where that chord is held"),
        (("C",), "'listen shapes C' shows where that chord is held"),
        (("Am7", "F"), "'listen shapes Am7, F' shows where those chords are held"),
        (("C9", "E12"), "pitch=E12 is not possible: it takes a note from C-1 to G9"),
        (("x32010", "320003"), "one shape at a time. x32010 is one by itself"),
        (("x32010", "--names", "0"), "names=0"),
        (("x32010", "--tuning", "E9 A9 D9 G9 B9 E9"), "tuning"),
        (("x32010", "--capo", "25"), "capo=25"),
        (("x32010", "--tuning", "E2"), "one fret for the one string. It has 6"),
    ],
)
def test_frets_that_are_none_are_explained(words: tuple[str, ...], part: str) -> None:
    assert part in run_wrong("name", *words)
