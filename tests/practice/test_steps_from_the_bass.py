"""What is said after a question about the bass fits what sounded: from the root no steps lead to the root."""

from __future__ import annotations

import pytest

from listen.practice import draw_question


@pytest.mark.parametrize("kind", ["which bass", "which bass of four"])
def test_steps_are_counted_only_from_a_bass_that_is_not_the_root(kind: str) -> None:
    told = {True: 0, False: 0}
    for seed in range(12):
        question = draw_question(kind, seed=seed)
        is_root = question.answer == "1"
        assert ("count the steps" in question.listen_for) == (not is_root)
        told[is_root] += 1
    assert min(told.values()) > 0
