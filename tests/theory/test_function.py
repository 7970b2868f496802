"""Roman numerals against music21, and numbers as session charts write them."""

from __future__ import annotations

import music21.key
import music21.roman
import pytest

from listen.theory import Key, chord_to_nashville, chord_to_roman, parse_chord

# Chords in C major and A minor whose numerals music21 reads back as the very same pitch classes and bass.
IN_MAJOR = (
    "C",
    "Dm",
    "Em",
    "F",
    "G",
    "Am",
    "Bdim",
    "C/E",
    "G/D",
    "Dm7",
    "G7",
    "G7/F",
    "Dm7/F",
    "Bm7b5",
    "A7",
    "D7/F#",
    "F#dim7",
)
IN_MINOR = (
    "Am",
    "Bdim",
    "Dm",
    "E",
    "E7",
    "E7/G#",
    "Dm7/C",
    "Am/C",
    "B7",
    "G#dim7",
    "D",
    "D/F#",
    "F#dim",
    "F#m7b5",
    "D#dim7",
)


@pytest.mark.parametrize(("text", "name"), [*((text, "C") for text in IN_MAJOR), *((text, "Am") for text in IN_MINOR)])
def test_music21_reads_the_numeral_as_the_same_chord(text: str, name: str) -> None:
    chord, key = parse_chord(text), Key.parse(name)
    numeral = chord_to_roman(chord, key).replace("°", "o").replace("ø", "/o")
    read = music21.roman.RomanNumeral(numeral, music21.key.Key(str(key.tonic), key.mode))
    assert {pitch.pitchClass for pitch in read.pitches} == chord.pitch_classes
    assert read.bass().pitchClass == chord.sounding_bass.pitch_class


@pytest.mark.parametrize(
    ("text", "name", "roman"),
    [
        ("Bb", "C", "♭VII"), ("Ab", "C", "♭VI"), ("Fm", "C", "iv"), ("D", "C", "V/V"), ("E7", "C", "V7/vi"),
        ("C7", "C", "V7/IV"), ("Cmaj7", "C", "Imaj7"), ("Cadd9", "C", "Iadd9"), ("C6", "C", "Iadd6"),
        ("C/E", "C", "I6"), ("Gsus4", "C", "Vsus4"),
        ("Csus2/D", "C", "Isus2/2"), ("Caug", "C", "I+"), ("F#m7b5", "C", "viiø7/V"), ("Db", "C", "♭II"),
        ("C", "Am", "♭III"), ("F", "Am", "♭VI"), ("C5", "C", "I5"), ("G9", "C", "V9"),
        ("D", "Am", "IV"), ("D/F#", "Am", "IV6"), ("Ab", "Ebm", "IV"), ("Bm", "Am", "ii"), ("F#dim", "Am", "vi°"),
        ("F#m7b5", "Am", "viø7"), ("D7", "Am", "V7/♭VII"), ("F#dim7", "Am", "vii°7/♭VII"), ("A7", "Am", "V7/iv"),
        ("B7", "Am", "V7/V"), ("B", "Am", "V/V"), ("D#dim7", "Am", "vii°7/V"), ("C7", "Am", "V7/♭VI"),
        ("D7", "C", "V7/V"), ("E", "C", "V/vi"), ("A", "C", "V/ii"), ("Gm", "C", "v"), ("Eb", "C", "♭III"),
    ],
)  # fmt: skip
def test_chords_outside_the_key_are_numbered_by_what_they_do(text: str, name: str, roman: str) -> None:
    """Common practice; in minor IV and vi°, and V of V, after Kostka & Payne, *Tonal Harmony* (from memory)."""
    assert chord_to_roman(parse_chord(text), Key.parse(name)) == roman


@pytest.mark.parametrize(
    ("text", "name", "number"),
    [
        ("C", "C", "1"), ("Dm", "C", "2-"), ("G/B", "C", "5/7"), ("Am7", "C", "6-⁷"),
        ("Bb", "C", "♭7"), ("Bdim", "C", "7°"),
        ("Fmaj7", "C", "4maj⁷"), ("D/C", "G", "5/4"), ("Caug", "C", "1+"),
        ("C7(b9,#11)", "F", "5⁷(♭⁹,♯¹¹)"), ("Am", "Am", "1-"),
        ("F", "Am", "♭6"),
    ],
)  # fmt: skip
def test_nashville_numbers(text: str, name: str, number: str) -> None:
    """Common practice of session charts, no source."""
    assert chord_to_nashville(parse_chord(text), Key.parse(name)) == number
