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
