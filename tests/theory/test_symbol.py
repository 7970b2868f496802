"""Chord symbols: every spelling in use is read, what is printed is read back, what is wrong is pointed at."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from listen.theory import ALTERED, Chord, ChordSymbolError, Interval, Note, explain_reading, parse_chord
from listen.theory.nearest_symbol import name_nearest_symbol
from tests.theory.strategies import chords

# Spellings of the trade (common practice, no source) and the tones that each stands for over C.
SPELLINGS = {
    "C": "1 3 5", "Cmaj": "1 3 5", "CM": "1 3 5", "C major": "1 3 5",
    "Cm": "1 b3 5", "C-": "1 b3 5", "Cmin": "1 b3 5", "Cmi": "1 b3 5", "C minor": "1 b3 5",
    "Cmaj7": "1 3 5 7", "CM7": "1 3 5 7", "CΔ7": "1 3 5 7", "CΔ": "1 3 5 7", "Cma7": "1 3 5 7", "C△7": "1 3 5 7",
    "C7": "1 3 5 b7", "Cdom7": "1 3 5 b7", "Cm7": "1 b3 5 b7", "Cmi7": "1 b3 5 b7",
    "C-7": "1 b3 5 b7", "Cmin7": "1 b3 5 b7",
    "Cm7b5": "1 b3 b5 b7", "Cø": "1 b3 b5 b7", "CØ7": "1 b3 b5 b7", "C-7b5": "1 b3 b5 b7", "Cm7(♭5)": "1 b3 b5 b7",
    "C°7": "1 b3 b5 bb7", "Cdim7": "1 b3 b5 bb7", "Co7": "1 b3 b5 bb7", "Cdim": "1 b3 b5", "C°": "1 b3 b5",
    "C+": "1 3 #5", "Caug": "1 3 #5", "C+7": "1 3 #5 b7", "C7+": "1 3 #5 b7", "C7#5": "1 3 #5 b7", "Caug7": "1 3 #5 b7",
    "Csus": "1 4 5", "Csus4": "1 4 5", "Csus2": "1 2 5", "C7sus4": "1 4 5 b7",
    "C7sus": "1 4 5 b7", "C9sus4": "1 4 5 b7 9",
    "C6": "1 3 5 6", "Cm6": "1 b3 5 6", "C6/9": "1 3 5 6 9", "C69": "1 3 5 6 9", "Cm6/9": "1 b3 5 6 9",
    "Cadd9": "1 3 5 9", "C(add9)": "1 3 5 9", "Cm(add9)": "1 b3 5 9", "Cmadd9": "1 b3 5 9", "Cadd11": "1 3 5 11",
    "C9": "1 3 5 b7 9", "Cmaj9": "1 3 5 7 9", "Cm9": "1 b3 5 b7 9", "Cm11": "1 b3 5 b7 9 11", "C11": "1 3 5 b7 9 11",
    "C13": "1 3 5 b7 9 11 13", "Cmaj13": "1 3 5 7 9 11 13", "C13sus4": "1 4 5 b7 9 13",
    "Cmaj7#11": "1 3 5 7 #11", "CM7(♯11)": "1 3 5 7 #11", "C7(b9,#11)": "1 3 5 b7 b9 #11", "C7b9#11": "1 3 5 b7 b9 #11",
    "C7#9": "1 3 5 b7 #9", "C7+9": "1 3 5 b7 #9", "C7-9": "1 3 5 b7 b9", "C7b9": "1 3 5 b7 b9", "C7b5": "1 3 b5 b7",
    "C7-5": "1 3 b5 b7", "C13b9": "1 3 5 b7 b9 11 13", "C7(b9,b13)": "1 3 5 b7 b9 b13",
    "Cm(maj7)": "1 b3 5 7", "CmM7": "1 b3 5 7", "Cmmaj7": "1 b3 5 7", "C-Δ7": "1 b3 5 7", "CmΔ": "1 b3 5 7",
    "C5": "1 5", "C(no3)": "1 5", "C7(no3)": "1 5 b7", "C9(no5)": "1 3 b7 9", "C7omit5": "1 3 b7", "C(no 3rd)": "1 5",
    "C7/9": "1 3 5 b7 9", "Cm7/11": "1 b3 5 b7 11", "C7/b9": "1 3 5 b7 b9",
    "C7 sus 4": "1 4 5 b7", "C add 9": "1 3 5 9",
    "C(b5)": "1 3 b5", "C half-dim": "1 b3 b5 b7", "C minor seventh": "1 b3 5 b7", "C [add9]": "1 3 5 9",
    "C: 1 3 6 9": "1 3 6 9", "C 1 b3 5 b7": "1 b3 5 b7", "C: 1, 2, 5": "1 2 5", "C: 3 5": "1 3 5",
    "C(1,b2,5)": "1 b2 5",
    "C:maj7": "1 3 5 7", "C:hdim7": "1 b3 b5 b7", "C:sus4(b7)": "1 4 5 b7", "C:(1,5)": "1 5", "C:7(*5)": "1 3 b7",
}  # fmt: skip


@pytest.mark.parametrize(("text", "tones"), SPELLINGS.items())
def test_every_spelling_stands_for_its_tones(text: str, tones: str) -> None:
    chord = parse_chord(text)
    assert chord.root == Note("C")
    assert sorted(chord.quality.tones) == sorted(Interval.parse(tone) for tone in tones.split())


@pytest.mark.parametrize(
    ("text", "root", "bass"),
    [
        ("C/E", "C", "E"), ("C/Bb", "C", "Bb"), ("D/C", "D", "C"), ("F♯m7/C♯", "F#", "C#"), ("B♭/D", "Bb", "D"),
        ("C6/9/E", "C", "E"), ("Cb5", "Cb", None), ("C/C", "C", None), ("Eb:min7/b3", "Eb", "Gb"), ("A/5", "A", "E"),
        ("C(1,b2)/E", "C", "E"), (" G7 / B ", "G", "B"), ("G𝄪m", "G##", None),
    ],
)  # fmt: skip
def test_root_and_bass_are_read_by_letter(text: str, root: str, bass: str | None) -> None:
    chord = parse_chord(text)
    assert chord.root == Note.parse(root)
    assert chord.bass == (None if bass is None else Note.parse(bass))


def test_alt_is_the_family() -> None:
    assert parse_chord("C7alt").quality is ALTERED
    assert parse_chord("Calt").quality is ALTERED


@given(chords())
def test_what_is_printed_is_read_back(chord: Chord) -> None:
    assert parse_chord(chord.text) == chord
    assert parse_chord(chord.printed) == chord


@given(chords())
def test_harte_labels_are_read_back_by_sound(chord: Chord) -> None:
    again = parse_chord(chord.harte)
    assert (again.root, again.sounding_bass.pitch_class) == (chord.root, chord.sounding_bass.pitch_class)
    assert again.pitch_classes == chord.pitch_classes


@pytest.mark.parametrize(
    ("text", "position", "nearest"),
    [
        ("", 0, ""), ("   ", 0, ""), ("H7", 0, "B7"), ("am7", 0, "Am7"),
        ("Cm7y", 3, "Cm7"), ("C/", 2, "C"),
        ("Bbmajj7", 5, "Bbmaj7"), ("C7(b9", 5, "C7b9"), ("Cm7/x", 4, "Cm7"), ("C:foo", 2, ""), ("C)", 1, "C"),
        ("C: 1 3 14", 7, None), ("C:maj/12q", 6, None), ("C2", 1, "Csus2"), ("C()x", 3, None), ("Cm5", 2, None),
        ("N.C.", 0, ""), ("B####", 4, ""), ("C99", 2, "C9"), ("Cmoll", 2, "Cm"), ("c minor", 0, "Cm"),
        ("Fis7", 1, "F#7"), ("Es", 1, "Eb"), ("Sol7", 0, "G7"), ("do", 0, "C"),
        ("Dom7", 1, "Cm7"), ("Fa7", 1, "F7"), ("C/H", 2, "C/B"), ("C//E", 2, "C/E"), ("%", 0, ""),
        ("bVII", 0, ""), ("Cqqqq", 1, ""), ("D: 1 -3", 5, "Dm(no5)"), ("D: 1, -3, 5", 6, "Dm"), ("D 1 5 y", 6, ""),
    ],
)  # fmt: skip
def test_error_points_at_the_character_and_names_a_good_symbol(text: str, position: int, nearest: str | None) -> None:
    with pytest.raises(ChordSymbolError) as caught:
        parse_chord(text)
    assert caught.value.position == position
    assert nearest is None or caught.value.nearest == nearest
    assert ("nearest good symbol" in str(caught.value)) == bool(caught.value.nearest)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("text", ["Z" * 10_000, "C" + "(" * 10_000, "C7" + "b9" * 5_000, "C: " + "1 " * 5_000])
def test_ten_thousand_characters_are_refused_in_one_short_sentence(text: str) -> None:
    with pytest.raises(ChordSymbolError, match="no chord is written so long") as caught:
        parse_chord(text)
    assert len(str(caught.value)) < 200


@given(st.text(max_size=40) | st.from_regex(r"[A-G][#b]?[a-z0-9()#b,/+\-: ]{0,12}", fullmatch=True))
def test_any_text_is_read_or_refused_with_a_sentence(text: str) -> None:
    chord, error = _read(text)
    if chord is not None:
        assert parse_chord(chord.text).pitch_classes == chord.pitch_classes
    if error is not None:
        assert 0 <= error.position <= len(text)
        assert error.nearest == "" or parse_chord(error.nearest)


def _read(text: str) -> tuple[Chord | None, ChordSymbolError | None]:
    try:
        return parse_chord(text), None
    except ChordSymbolError as error:
        return None, error


@given(st.from_regex(r"[A-Ga-gH][#b]?[a-z0-9()#b,/+\-: ]{0,12}", fullmatch=True))
def test_a_nearest_symbol_can_always_be_read(text: str) -> None:
    nearest = name_nearest_symbol(text)
    assert nearest == "" or parse_chord(nearest)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("N.C.", "no chord sounds"), ("X", "not known"), ("H7", "H is written B here"), ("Fis7", "Fis is written F#"),
        ("Es", "Es is written Eb"),
        ("Solm", "Sol is written G"), ("Fa", "Fa is written F"), ("do7", "do is written C"),
        ("Amoll", "minor is written m"), ("bVII", "in a key"),
        ("E####", "three sharps or three flats"), ("Am7 D7", "one is read at a time"),
        ("C3", "one note with its octave"), ("C E G", "with their octaves"), ("C,E,G", "with their octaves"),
    ],
)  # fmt: skip
def test_habits_of_writing_that_are_known_are_explained(text: str, said: str) -> None:
    # German and sung note names: common practice, no source
    with pytest.raises(ChordSymbolError, match=said):
        parse_chord(text)


@pytest.mark.parametrize(
    ("text", "said"), [("Do", "Ddim; where Do is the note, write C."), ("Do9", "write C9."), ("D°7", ""), ("Ddim", "")]
)
def test_a_sung_note_name_that_reads_as_a_diminished_chord_is_told(text: str, said: str) -> None:
    # the first sung name: common practice, no source
    told = explain_reading(text)
    assert told.endswith(said)
    assert bool(told) == bool(said)
