"""Keys against music21: signatures, scales, spelling."""

from __future__ import annotations

import music21.key
import music21.pitch
import pytest
from hypothesis import given

from listen.errors import BadValueError
from listen.theory import KEYS, Key, Note, Pitch, SpelledPitch, find_quality, spell_pitch
from tests.theory.strategies import NOTES, PITCHES

NAMES = ("C", "G", "D", "A", "E", "B", "F#", "C#", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb")
MINOR = ("A", "E", "B", "F#", "C#", "G#", "D#", "A#", "D", "G", "C", "F", "Bb", "Eb", "Ab")


def _music21(key: Key) -> music21.key.Key:
    return music21.key.Key(str(key.tonic).replace("b", "-"), key.mode)


@pytest.mark.parametrize("name", [*NAMES, *(f"{tonic}m" for tonic in MINOR)])
def test_signature_and_scale_are_those_of_music21(name: str) -> None:
    key = Key.parse(name)
    other = _music21(key)
    assert key.signature == other.sharps
    assert [str(note).replace("b", "-") for note in key.scale] == [pitch.name for pitch in other.pitches[:7]]


@given(PITCHES)
def test_every_key_spells_every_pitch_as_it_sounds(pitch: Pitch) -> None:
    for key in KEYS:
        spelled = spell_pitch(pitch, key)
        assert spelled.pitch == pitch
        assert music21.pitch.Pitch(spelled.text.replace("b", "-")).midi == pitch.midi
        if pitch.pitch_class in key.pitch_classes:
            assert spelled.note in key.scale


def test_tones_outside_the_key_are_spelled_by_what_they_do() -> None:
    """Lowered third, sixth and seventh, raised fourth (Aldwell & Schachter, from memory)."""
    key = Key.parse("C")
    assert [str(key.spell(step)) for step in (1, 3, 6, 8, 10)] == ["Db", "Eb", "F#", "Ab", "Bb"]
    minor = Key.parse("Am")
    assert [str(minor.spell(step)) for step in (8, 6)] == ["G#", "F#"]


def test_diminished_chord_outside_the_key_stands_on_a_raised_tone() -> None:
    diminished, major = find_quality("dim7"), find_quality("")
    assert diminished is not None
    assert major is not None
    assert [str(Key.parse("C").spell_root(step, diminished)) for step in (1, 3, 6, 8)] == ["C#", "D#", "F#", "G#"]
    assert [str(Key.parse("C").spell_root(step, major)) for step in (1, 3, 8)] == ["Db", "Eb", "Ab"]


@pytest.mark.parametrize(
    ("key", "roots", "named", "degrees"),
    [
        ("F#", (0, 5, 7), "C F G", "#4 7 b2"),
        ("Gb", (0, 7, 9, 11), "C G A Cb", "#4 b2 b3 4"),
        ("Db", (0, 6, 7), "C Gb G", "7 4 #4"),
        ("C#", (5, 0, 1), "F C C#", "3 7 1"),
    ],
)
def test_no_chart_has_a_root_that_nobody_writes_unless_the_key_has_it(
    key: str, roots: tuple[int, ...], named: str, degrees: str
) -> None:
    """Common practice of printed charts, no source."""
    asked, major = Key.parse(key), find_quality("major")
    assert major is not None
    found = [asked.spell_root(root, major) for root in roots]
    assert " ".join(map(str, found)) == named
    assert " ".join(str(asked.degree_of(root)) for root in found) == degrees


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("H", "tonic with or without m"),
        ("G# major", "at most seven sharps or flats. Write Ab major"),
        ("", "Write G, Em or Bb major"),
        ("C dorian", "tonic"),
    ],
)
def test_bad_keys_are_refused_with_a_remedy(text: str, match: str) -> None:
    with pytest.raises(BadValueError, match=match):
        Key.parse(text)


def test_octave_belongs_to_the_letter() -> None:
    """B♯3 sounds as C4, C♭4 as B3 (scientific pitch notation)."""
    assert SpelledPitch.parse("B#3").pitch == Pitch(60)
    assert SpelledPitch.parse("Cb4").pitch == Pitch(59)
    assert SpelledPitch.of(Pitch(60), Note.parse("B#")).text == "B#3"
    assert SpelledPitch.of(Pitch(59), Note.parse("Cb")).text == "Cb4"


@given(PITCHES, NOTES)
def test_written_pitch_reads_back(pitch: Pitch, note: Note) -> None:
    shifted = Pitch(pitch.midi - pitch.pitch_class + note.pitch_class)
    spelled = SpelledPitch.of(shifted, note)
    assert SpelledPitch.parse(spelled.text) == spelled
    assert spelled.pitch == shifted
    assert music21.pitch.Pitch(spelled.text.replace("b", "-")).midi == shifted.midi


def test_double_accidental_has_the_plain_name_beside_it() -> None:
    assert SpelledPitch.parse("Fx4").explained == "F♯♯4 (G4)"
    assert SpelledPitch.parse("Bbb3").explained == "B♭♭3 (A3)"
    assert SpelledPitch.parse("Bb3").explained == "B♭3"


@pytest.mark.parametrize("text", ["", "4", "H4", "C", "C99", "B#9999", "C4x"])
def test_bad_written_pitches_are_refused(text: str) -> None:
    with pytest.raises(BadValueError):
        SpelledPitch.parse(text)
