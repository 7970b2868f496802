"""Pitches, intervals and note names, some of them against music21."""

from __future__ import annotations

import music21.pitch
import pytest
from hypothesis import given
from hypothesis import strategies as st

from listen.errors import BadValueError
from listen.theory import Interval, Note, Pitch
from tests.theory.strategies import NOTES


@pytest.mark.parametrize("text", ["E2", "F#3", "Bb3", "C♯4", "E♭2", "Cx4", "Dbb4", "B#3", "Cb4", "a2"])
def test_pitches_sound_as_music21_reads_them(text: str) -> None:
    other = text.replace("♯", "#").replace("♭", "-").replace("x", "##")
    other = other[0] + other[1:].replace("b", "-")
    assert Pitch.parse(text).midi == music21.pitch.Pitch(other).midi


@given(NOTES, st.sampled_from(["b3", "3", "4", "b5", "5", "#5", "6", "bb7", "b7", "7"]))
def test_interval_between_two_notes_is_the_one_that_led_from_one_to_the_other(low: Note, degree: str) -> None:
    interval = Interval.parse(degree)
    assert low.interval_to(low.above(interval)) == interval


@given(NOTES, NOTES)
def test_interval_between_any_two_notes_sounds_right(low: Note, high: Note) -> None:
    assert (low.pitch_class + low.interval_to(high).semitones) % 12 == high.pitch_class


@pytest.mark.parametrize(
    ("text", "semitones"), [("1", 0), ("b3", 3), ("#5", 8), ("bb7", 9), ("b9", 13), ("#11", 18), ("13", 21)]
)
def test_degrees_count_from_the_major_scale(text: str, semitones: int) -> None:
    interval = Interval.parse(text)
    assert (interval.semitones, str(interval)) == (semitones, text)


@given(NOTES)
def test_note_names_read_back_plain_and_printed(note: Note) -> None:
    assert Note.parse(str(note)) == Note.parse(note.printed) == note


@pytest.mark.parametrize("text", ["", "H", "C#b", "xxx", "Cxxx", "C####", "C4", "7"])
def test_what_is_no_note_is_refused(text: str) -> None:
    with pytest.raises(BadValueError, match="Write C, F# or Bb"):
        Note.parse(text)


@pytest.mark.parametrize("text", ["", "0", "14", "bbb3", "3b", "x"])
def test_what_is_no_degree_is_refused(text: str) -> None:
    with pytest.raises(BadValueError, match="degree"):
        Interval.parse(text)


@pytest.mark.parametrize("text", ["", "E", "H2", "C-2", "G#9", "C99999999999"])
def test_what_is_no_pitch_is_refused(text: str) -> None:
    with pytest.raises(BadValueError, match="pitch"):
        Pitch.parse(text)
