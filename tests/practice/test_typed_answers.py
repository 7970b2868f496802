"""What is typed: an option's own words are taken, words of another question are not."""

from __future__ import annotations

import pytest

from listen.errors import BadValueError
from listen.practice import LADDER, draw_question, judge_typed


@pytest.mark.parametrize("kind", LADDER)
def test_an_option_is_taken_by_the_words_it_is_shown_with(kind: str) -> None:
    for seed in range(4):
        question = draw_question(kind, level=6.0, seed=seed)
        for option in question.options:
            assert judge_typed(question, option.text).key == option.key
            assert judge_typed(question, option.text.upper().replace(",", " ,")).key == option.key


def test_a_tone_in_the_bass_is_no_answer_to_which_came_first() -> None:
    question = draw_question("which came first", seed=2)
    for said in ("root", "the root", "root position", "third", "1st inversion"):
        with pytest.raises(BadValueError, match=r"it takes 1 \(\w+ \w+, then \w+ \w+\), 2 "):
            judge_typed(question, said)


@pytest.mark.parametrize("kind", ["which bass", "which bass of four"])
def test_a_name_that_says_no_tone_of_a_chord_of_thirds_is_refused(kind: str) -> None:
    """C6 has the notes of Am7/C: its root is the other's third."""
    question = draw_question(kind, level=6.0, seed=3)
    for said in ("C6", "C6/A", "Cm6", "C9/D", "C/D", "Csus4", *(("C7/Bb",) if kind == "which bass" else ())):
        with pytest.raises(BadValueError, match=r"it takes 1 \(the root\).*C7/E has its third in the bass"):
            judge_typed(question, said)


def test_the_name_of_a_kind_that_is_not_offered_is_refused_as_its_sign_is() -> None:
    n_refused = 0
    for seed in range(20):
        question = draw_question("quality", level=6.0, seed=seed)
        if "m7b5" in {option.key for option in question.options}:
            assert judge_typed(question, "Am7b5").key == judge_typed(question, "m7b5").key == "m7b5"
            continue
        n_refused += 1
        for said in ("Am7b5", "m7b5"):
            with pytest.raises(BadValueError, match=r"answer=A?m7"):
                judge_typed(question, said)
    assert 0 < n_refused < 20


@pytest.mark.parametrize(
    ("kind", "yes", "no"),
    [("same bass", "s", "o"), ("root or not", "r", "n"), ("foreign bass", "c", "f"), ("other place", "s", "o")],
)
def test_a_question_of_yes_or_no_takes_yes_and_no(kind: str, yes: str, no: str) -> None:
    question = draw_question(kind, seed=2)
    assert [judge_typed(question, said).key for said in ("yes", "Y", "no", "N")] == [yes, yes, no, no]


@pytest.mark.parametrize("kind", ["which bass", "which came first", "quality"])
def test_another_question_takes_no_yes(kind: str) -> None:
    with pytest.raises(BadValueError, match="answer=yes is not possible"):
        judge_typed(draw_question(kind, seed=2), "yes")
