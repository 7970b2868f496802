"""What is heard after an answer where chords are compared: the basses of all, and all in root position."""

from __future__ import annotations

import numpy as np
import pytest

from listen.practice import (
    RATE_HZ,
    Judgement,
    draw_question,
    find_root_positions,
    render_basses,
    render_sounds,
)
from listen.practice.render import GAP_S, render_bass
from listen.request import Asked, join_pieces, play_after


@pytest.mark.parametrize("kind", ["same bass", "which came first", "bass line", "which bass"])
def test_after_an_answer_every_bass_is_heard_in_turn(kind: str) -> None:
    question = draw_question(kind, level=3.0, seed=2)
    alone = [render_bass(sounding, question.fretboard) for sounding in question.sounds]
    basses = render_basses(question.sounds, question.fretboard)
    assert len(basses) == sum(map(len, alone)) + (len(alone) - 1) * int(GAP_S * RATE_HZ)
    assert np.array_equal(basses[: len(alone[0])], alone[0])
    assert np.array_equal(basses[-len(alone[-1]) :], alone[-1])
    after = play_after(question, Judgement(question.answer, True), Asked())
    assert np.array_equal(next(iter(after.values())), basses)


def test_after_a_right_answer_only_what_is_new_is_heard_and_after_a_wrong_one_both_in_turn() -> None:
    question = next(one for seed in range(9) if (one := draw_question("which bass", seed=seed)).answer == "5")
    right = play_after(question, Judgement("5", True), Asked())
    assert list(right) == ["the bass alone", "in root position"]
    wrong = play_after(question, Judgement("3", False), Asked())
    assert list(wrong) == ["what sounded", "what you chose", *right]
    example = question.option("3").example  # type: ignore[union-attr]
    assert np.array_equal(wrong["what you chose"], render_sounds(example, question.fretboard))
    assert np.array_equal(wrong["what sounded"], render_sounds(question.sounds, question.fretboard))
    lengths = [len(piece) for piece in wrong.values()]
    assert len(join_pieces(wrong.values())) == sum(lengths) + 3 * (RATE_HZ // 2)


def test_every_chord_that_is_compared_is_heard_in_root_position() -> None:
    n_inverted = 0
    for kind in ("same bass", "which came first", "bass line", "which bass"):
        for seed in range(6):
            question = draw_question(kind, level=3.0, seed=seed)
            rooted = find_root_positions(question.sounds, question.fretboard)
            inverted = any(sounding.chord.inversion != 0 for sounding in question.sounds)
            assert bool(rooted) == inverted, (kind, seed)
            if rooted:
                n_inverted += 1
                assert [one.chord.root for one in rooted] == [one.chord.root for one in question.sounds]
                assert {one.chord.inversion for one in rooted} == {0}
    assert n_inverted > 8
