"""What was missed comes back: two answers of which one was taken for the other are asked again, either of them.

Which of the two is right stays even, so that what comes back tells nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from listen.document import Answered
from listen.practice.ladder import DEGREE_KINDS

MISSED_KINDS = (*DEGREE_KINDS, "quality")
"""Whose answers are more than two and come again: of two answers the other one is always near, a line never returns."""
LOOKED_BACK = 12  # answers of a kind: what was missed before them was heard right since, or is missed again; judged
COMES_BACK = 0.5  # of questions where something was missed; judged


def draw_missed(answers: Sequence[Answered], kind: str, *, seed: int) -> tuple[str, ...]:
    """Draw two answers of a kind that were lately taken for each other.

    Parameters
    ----------
    answers : sequence of Answered
        All so far, in their order.
    kind : str
    seed : int

    Returns
    -------
    tuple of str
        Two keys; empty where nothing was missed or something else has its turn.
    """
    rng = np.random.default_rng([seed, 101])
    if kind not in MISSED_KINDS or rng.random() >= COMES_BACK:
        return ()
    lately = [answer for answer in answers if answer.kind == kind][-LOOKED_BACK:]
    missed = [(one.played, one.said) for one in lately if not one.is_right and one.said]
    return missed[int(rng.integers(len(missed)))] if missed else ()
