"""What practice says of a chord after an answer."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.export import describe_inversion, render_answer_text, render_sounding_cards
from listen.export.style import TextStyle
from listen.practice import draw_question, judge_hum, judge_played, judge_typed
from listen.theory import Pitch, parse_chord


@pytest.mark.parametrize("name", ["C/E", "C/D", "Csus4/F"])
def test_what_is_in_the_bass_is_said_as_a_name_says_it(name: str) -> None:
    drawn, chord = draw_question("which bass", seed=1), parse_chord(name)
    question = replace(drawn, sounds=(replace(drawn.sounds[0], chord=chord),))
    lines = render_answer_text(question, judge_typed(question, "1"), style=TextStyle(width=200))
    words = describe_inversion(chord)
    assert f"{chord.printed}: {words}, bass" in "\n".join(lines)
    assert f"{words}, held as" in render_sounding_cards(question)


def test_a_verdict_says_what_was_heard_of_an_answer_that_was_not_chosen_from_the_list() -> None:
    drawn = draw_question("which bass", seed=1)
    question = replace(drawn, sounds=(replace(drawn.sounds[0], chord=parse_chord("C/E")),), answer="3")
    for judged, verdict in (
        (judge_typed(question, "2"), "Right: the third."),
        (judge_typed(question, "fifth"), "Not this time: the third."),
        (judge_typed(question, "D/A"), "Not this time: the third. You said D/A: the fifth."),
        (judge_hum(question, 52.0), "Right: the third. You hummed E3, the bass is E (+0 cents)."),
        (judge_played(question, Pitch(43), frozenset({0, 4, 7})),
         "Not this time: the third. You played G2 in the bass, and the tones of the chord."),
        (judge_played(question, Pitch(40), frozenset({0, 4, 7})),
         "Right: the third. You played E2 in the bass, and the tones of the chord."),
    ):  # fmt: skip
        assert render_answer_text(question, judged, style=TextStyle(width=200))[0] == verdict
