"""Nothing but the interval gives an answer away; `python -m tests.benchmarks.practice` tries every kind at length."""

from __future__ import annotations

from collections import Counter
from functools import cache
from math import sqrt

import pytest

from listen.practice import LADDER, Question, draw_question
from tests.benchmarks.practice import CUES, EXEMPT, find_heights, guess, place_of

N = 100
SIGMAS = 3.3  # one false alarm in a thousand


@cache
def _draw(kind: str) -> tuple[Question, ...]:
    return tuple(draw_question(kind, level=6.0, seed=seed) for seed in range(N))


@pytest.mark.parametrize("kind", ["root or not", "which bass"])
@pytest.mark.parametrize("cue", [cue for cue in CUES if ("root or not", cue) not in EXEMPT])
def test_a_guesser_without_the_interval_scores_as_chance(kind: str, cue: str) -> None:
    share, chance, sigma = guess(_draw(kind), CUES[cue])
    assert share <= chance + SIGMAS * sigma


def test_a_guesser_that_hears_the_interval_is_right() -> None:
    """The trial itself can fail: what the questions are about is found."""
    share, _, _ = guess(
        _draw("which bass"),
        lambda question: (find_heights(question)[0][0] - question.sounds[0].chord.root.pitch_class) % 12,
    )
    assert share > 0.9


@pytest.mark.parametrize("kind", LADDER)
def test_every_answer_is_as_likely(kind: str) -> None:
    questions = [draw_question(kind, level=2.0, seed=seed) for seed in range(24)]
    n_options = len(questions[0].options)
    counts = Counter(place_of(question) for question in questions)
    expected = len(questions) / n_options
    assert all(abs(counts[place] - expected) < 4.0 * sqrt(expected) for place in range(n_options)), counts
