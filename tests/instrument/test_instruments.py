"""Names of instruments and tunings, and tunings as text."""

from __future__ import annotations

from itertools import pairwise

import pytest

from listen.errors import BadValueError
from listen.instrument import STANDARD, Tuning, find_instrument, load_instruments, parse_tuning
from listen.theory import Note, Pitch


def test_standard_tuning_is_three_fourths_a_third_and_a_fourth() -> None:
    # Any guitar method; the one irregular step lies between G and B.
    midi = [pitch.midi for pitch in STANDARD.open_strings]
    assert [high - low for low, high in pairwise(midi)] == [5, 5, 5, 4, 5]
    assert STANDARD.text == "E2 A2 D3 G3 B3 E4"


@pytest.mark.parametrize(
    ("name", "strings"),
    [  # common practice, from memory
        ("half step down", "Eb2 Ab2 C#3 F#3 Bb3 Eb4"),
        ("whole step down", "D2 G2 C3 F3 A3 D4"),
        ("drop D", "D2 A2 D3 G3 B3 E4"),
        ("double drop D", "D2 A2 D3 G3 B3 D4"),
        ("DADGAD", "D2 A2 D3 G3 A3 D4"),
        ("all fourths", "E2 A2 D3 G3 C4 F4"),
        ("drop C", "C2 G2 C3 F3 A3 D4"),
        ("seven-string", "B1 E2 A2 D3 G3 B3 E4"),
        ("eight-string", "F#1 B1 E2 A2 D3 G3 B3 E4"),
        ("baritone", "B1 E2 A2 D3 F#3 B3"),
        ("Nashville", "E3 A3 D4 G4 B3 E4"),
        ("bass", "E1 A1 D2 G2"),
        ("ukulele", "G4 C4 E4 A4"),
        ("mandolin", "G3 D4 A4 E5"),
        ("tenor guitar", "C3 G3 D4 A4"),
    ],
)
def test_a_named_tuning_has_the_strings_that_the_trade_gives_it(name: str, strings: str) -> None:
    assert find_instrument(name).tuning.text == strings


@pytest.mark.parametrize(
    ("letters", "strings"),
    [
        ("B E A D G B E", "B1 E2 A2 D3 G3 B3 E4"),
        ("A D A D G B E", "A1 D2 A2 D3 G3 B3 E4"),
        ("E B E A D G B E", "E1 B1 E2 A2 D3 G3 B3 E4"),
    ],
)
def test_letters_of_seven_and_eight_strings_lie_near_their_usual_tuning(letters: str, strings: str) -> None:
    assert parse_tuning(letters).text == strings


@pytest.mark.parametrize("name", ["open G", "open D", "open E", "open A", "open C"])
def test_an_open_tuning_sounds_the_major_triad_of_its_name(name: str) -> None:
    root = Note.parse(name.split()[1]).pitch_class
    heard = {pitch.pitch_class for pitch in find_instrument(name).tuning.open_strings}
    assert heard == {root, (root + 4) % 12, (root + 7) % 12}


def test_a_twelve_string_has_four_octave_pairs_and_two_in_unison() -> None:
    tuning = find_instrument("12-string").tuning
    assert tuning.n_strings == 6
    assert tuning.companions == (12, 12, 12, 12, 0, 0)


def test_every_name_and_alias_finds_an_instrument_with_a_neck() -> None:
    for instrument in load_instruments():
        for name in (instrument.name, *instrument.aliases):
            assert find_instrument(name.upper()).name == instrument.name
        assert 12 <= instrument.fretboard().n_frets <= 27


def test_every_tuning_of_the_table_reads_back_from_its_own_text() -> None:
    for instrument in load_instruments():
        assert parse_tuning(instrument.tuning.text).open_strings == instrument.tuning.open_strings


def test_a_list_of_pitches_that_has_a_name_gets_it() -> None:
    assert parse_tuning("D2 A2 D3 G3 B3 E4").name == "drop D"
    assert parse_tuning("C2 G2 D3 A3 E4 G4").name == "C2 G2 D3 A3 E4 G4"
    assert parse_tuning("D2 A2 D3 F𝄪3 B3 E4").name == "drop D"


def test_six_letters_take_the_octaves_nearest_to_standard_tuning() -> None:
    assert parse_tuning("C G C G C E").text == "C2 G2 C3 G3 C4 E4"
    assert parse_tuning("DADGBE").name == "drop D"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "1 to 10 open strings"),
        ("   ", "1 to 10 open strings"),
        ("dropped D", "Did you mean drop D"),
        ("ukelele", "Did you mean ukulele"),
        ("x" * 10_000, "name of an instrument"),
        ("E A", "pitches with their octaves"),
        ("E2 A2 D3 H3", "name of an instrument"),
        (" ".join(["E2"] * 50), "1 to 10 open strings"),
        ("C9 G2", "open strings from E0 to E6"),
        ("E2 A99", "tuning=E2 A99 is not possible: it takes open strings from E0 to E6. A99 is none.$"),
        ("E9 A9 D3 G3 B3 E4", "E9 is none"),
        ("C-1 E2", "open strings from E0"),
    ],
)
def test_a_tuning_that_cannot_be_is_refused_in_one_sentence(text: str, sentence: str) -> None:
    with pytest.raises(BadValueError, match=sentence) as caught:
        parse_tuning(text)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 300


def test_an_instrument_without_strings_is_refused() -> None:
    with pytest.raises(BadValueError, match="0 strings"):
        Tuning("none", ())
    with pytest.raises(BadValueError, match="50 strings"):
        Tuning("harp", tuple(Pitch(40 + step // 2) for step in range(50)))
