"""Sensible names where no key decides."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from listen.theory import Chord, Key, Note, find_quality, parse_chord, spell_as_typed, spell_chord, transpose_chord
from tests.theory.strategies import chords


@pytest.mark.parametrize(
    ("symbol", "names"),
    [
        ("", "C Db D Eb E F F# G Ab A Bb B"),
        ("m", "C C# D Eb E F F# G G# A Bb B"),
        ("5", "C C# D Eb E F F# G Ab A Bb B"),
        ("maj7", "C Db D Eb E F Gb G Ab A Bb B"),
        ("7", "C C# D Eb E F F# G Ab A Bb B"),
        ("dim7", "C C# D D# E F F# G G# A A# B"),
    ],
)
def test_roots_take_the_name_with_fewer_accidentals(symbol: str, names: str) -> None:
    """Common practice of printed charts, no source."""
    quality = find_quality(symbol)
    assert quality is not None
    assert [str(spell_chord(step, quality).root) for step in range(12)] == names.split()


@pytest.mark.parametrize("text", ["D/C", "C/Bb", "E/G#", "C/F#", "A/G", "F/Gb", "Am/G", "Eb/Db", "C/Ab", "B/D#"])
def test_bass_is_a_tone_of_the_chord_or_a_degree_over_its_root(text: str) -> None:
    chord = parse_chord(text)
    assert spell_chord(chord.root.pitch_class, chord.quality, bass=chord.sounding_bass.pitch_class).text == text


@pytest.mark.parametrize(
    ("sounding", "typed", "said"),
    [
        ("F#", "Gb Bb Db", "Gb"),
        ("Db", "C# E# G#", "C#"),
        ("Bbmaj7#11/E", "E3 Bb3 D4 A4", "Bbmaj7#11/E"),
        ("F#7", "Bb E", "Gb7"),
    ],
)
def test_notes_that_were_typed_spell_the_name(sounding: str, typed: str, said: str) -> None:
    """Common practice, no source."""
    notes = [Note.parse(word.rstrip("0123456789")) for word in typed.split()]
    assert spell_as_typed(parse_chord(sounding), notes).text == said


def test_key_names_the_root() -> None:
    major = find_quality("")
    assert major is not None
    assert spell_chord(6, major, key=Key.parse("Gb")).text == "Gb"
    assert spell_chord(1, major, key=Key.parse("F#")).text == "C#"


@given(chords(), st.integers(-24, 24))
def test_transposing_there_and_back_sounds_the_same(chord: Chord, semitones: int) -> None:
    moved = transpose_chord(chord, semitones)
    assert moved.root.pitch_class == (chord.root.pitch_class + semitones) % 12
    assert moved.pitch_classes == {(step + semitones) % 12 for step in chord.pitch_classes}
    assert transpose_chord(moved, -semitones).pitch_classes == chord.pitch_classes


@pytest.mark.parametrize(
    ("text", "other", "is_one"),
    [
        ("F#m7/C#", "Gbm7/Db", True),
        ("C/C", "C", True),
        ("C", "C/E", False),
        ("C", "Cmaj7", False),
        ("C6", "Am7/C", False),  # the same notes over the same bass, called otherwise
    ],
)
def test_chords_are_enharmonic_where_only_the_spelling_of_their_name_differs(
    text: str, other: str, is_one: bool
) -> None:
    assert parse_chord(text).is_enharmonic_with(parse_chord(other)) is is_one
