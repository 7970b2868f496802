"""What practice says of a chord after an answer."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.export import describe_inversion, render_answer_text, render_sounding_cards
from listen.export.style import TextStyle
from listen.practice import draw_question, judge_typed
from listen.theory import parse_chord


@pytest.mark.parametrize("name", ["C/E", "C/D", "Csus4/F"])
def test_what_is_in_the_bass_is_said_as_a_name_says_it(name: str) -> None:
    drawn, chord = draw_question("which bass", seed=1), parse_chord(name)
    question = replace(drawn, sounds=(replace(drawn.sounds[0], chord=chord),))
    lines = render_answer_text(question, judge_typed(question, "1"), style=TextStyle(width=200))
    words = describe_inversion(chord)
    assert f"{chord.printed}: {words}, bass" in "\n".join(lines)
    assert f"{words}, held as" in render_sounding_cards(question)
