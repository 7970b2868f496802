"""What is said of a hum, and of a chord played back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.practice import draw_question, judge_hum, judge_played
from listen.theory import Pitch, parse_chord


@pytest.mark.parametrize(
    ("name", "midi", "spelled"),
    [("B/D#", 51, "D♯3"), ("Cm/Eb", 51, "E♭3"), ("B/D#", 54, "F♯3"), ("Abm/Cb", 59, "C♭4"), ("Ab/C", 61, "D♭4")],
)
def test_a_note_that_was_heard_is_spelled_as_the_chord_spells_it(name: str, midi: int, spelled: str) -> None:
    drawn, chord = draw_question("which bass", seed=1), parse_chord(name)
    question = replace(drawn, sounds=(replace(drawn.sounds[0], chord=chord),))
    bass = chord.sounding_bass.printed
    assert judge_hum(question, midi + 0.1).text == f"you hummed {spelled}, the bass is {bass}"
    assert judge_played(question, Pitch(midi), chord.pitch_classes).text.startswith(f"you played {spelled} in the bass")
