"""The staircase: Kaernbach's equilibrium, and simulated learners that are held at the target."""

from __future__ import annotations

import numpy as np
import pytest

from listen.practice import HARDEST, LADDER, TARGET, Staircase, draw_question

LAPSES = 0.02
WIDTH = 0.8  # levels from 27 to 73 % of what can be learnt


@pytest.mark.parametrize(("target", "ratio"), [(0.5, 1.0), (0.75, 3.0), (0.8, 4.0)])
def test_steps_are_in_kaernbachs_ratio(target: float, ratio: float) -> None:
    """Kaernbach 1991, equation 1: S_up * p = S_down * (1 - p); his example of 75 % has 1 to 3 (from memory)."""
    before = Staircase(5.0, 40)
    harder = before.answered(right=True, target=target).level - before.level
    easier = before.level - before.answered(right=False, target=target).level
    assert easier / harder == pytest.approx(ratio)


def test_levels_stay_within_the_ladder() -> None:
    easy, hard = Staircase(0.0), Staircase(HARDEST)
    assert easy.answered(right=False).level == 0.0
    assert hard.answered(right=True).level == HARDEST


def simulate_learners(kind: str, *, seed: int = 7) -> float:
    """Return the share of right answers of 200 learners with thresholds from 3 to 8, after 60 items."""
    guess = 1.0 / len(draw_question(kind, level=5.0, seed=1).options)
    rng = np.random.default_rng(seed)
    shares = []
    for threshold in rng.uniform(3.0, 8.0, 200):
        stairs, right_later = Staircase(), 0
        for item in range(120):
            knows = (1.0 - LAPSES) / (1.0 + np.exp((stairs.level - threshold) / WIDTH))
            right = bool(rng.random() < guess + (1.0 - guess) * knows)
            right_later += right and item >= 60
            stairs = stairs.answered(right=right)
        shares.append(right_later / 60)
    return float(np.mean(shares))


@pytest.mark.parametrize("kind", LADDER)
def test_simulated_learners_are_held_at_the_target(kind: str) -> None:
    assert simulate_learners(kind) == pytest.approx(TARGET, abs=0.03)
