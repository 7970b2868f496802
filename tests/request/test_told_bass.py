"""The bass of a chord, as a teacher says it: B, without an octave."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.errors import BadValueError
from listen.instrument import Fretboard
from listen.request import AskedChange, PartAsked, Step
from listen.request.changes import take_step
from listen.request.said_of_events import settle_said
from listen.transcription import PartSettings
from tests.hand_made_parts import Scene, straight_part


@pytest.mark.parametrize(
    ("chord", "bass", "found", "shown"),
    [
        (0, "E", "E2", "E2"),  # 022000: as it sounds
        (1, "C", "C3", "C3"),  # x32030: as it sounds, no guitar has a lower one
        (1, "G", "G2", "G2"),  # below what was heard, and not G3 over C3
        (2, "F#", "F#2", "F♯2"),
        (2, "G♭", "F#2", "F♯2"),
        (2, "D", "D3", "D3"),
    ],
)
def test_a_bass_may_be_told_as_a_teacher_says_it(chord: int, bass: str, found: str, shown: str) -> None:
    step = take_step(straight_part(), Step(), AskedChange("bass", bass, chord=chord))
    assert [one.value.split()[0] for one in step.corrections] == [found]
    assert step.label.startswith(f"{shown} is the bass in bar ")


def test_a_bass_that_sounds_over_others_is_the_one_that_is_heard() -> None:
    scene = Scene()
    scene.chord("C", "xx5553")
    scene.strum(1, 0)
    step = take_step(scene.part(1), Step(), AskedChange("bass", "G", chord=0))
    assert [one.value.split()[0] for one in step.corrections] == ["G3"]


def test_a_bass_without_an_octave_over_a_capo_is_the_lowest_that_the_neck_has_there() -> None:
    """Notes are called as the hand plays them: over capo 3 its F sharp sounds A, its D sharp F sharp."""
    part = replace(straight_part(), fretboard=Fretboard(capo_fret=3))
    asked = PartAsked(said=(("bass", "1=F#"), ("bass", "13=D#")))
    told = settle_said(asked, part, PartSettings()).corrections
    assert [one.value.split()[0] for one in told] == ["A2", "F#3"]


@pytest.mark.parametrize(
    ("what", "value", "said"),
    [
        ("note", "G", "note=G is not possible: it takes a note with its octave. Write G3, F#2 or Bb4."),
        ("no note", "", "note=nothing is not possible: it takes a note with its octave. Write G3, F#2 or Bb4."),
        ("no note", "G9", "note=G9 is not possible: it takes a note from A1 to E6"),
        ("bass", "H", "bass=H is not possible: it takes a note, with its octave or without. Write G, F#2 or Bb."),
    ],
)
def test_what_is_no_note_is_refused(what: str, value: str, said: str) -> None:
    with pytest.raises(BadValueError, match=said):
        take_step(straight_part(), Step(), AskedChange(what, value, chord=0))
