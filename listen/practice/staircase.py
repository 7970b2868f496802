"""How hard the next question of a kind is: a weighted up-down staircase.

A right answer makes the next question harder by one step, a wrong one easier by ``target / (1 - target)`` steps: the
level then stays where a share ``target`` of answers is right (Kaernbach's equilibrium condition,
``S_up · p = S_down · (1 - p)``). Steps begin large and shrink, so that a new player's level is found soon.

References
----------
C. Kaernbach, "Simple adaptive testing with the weighted up-down method", Perception & Psychophysics 49(3), 1991.
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.practice.question import HARDEST

TARGET = 0.8  # share of right answers that neither bores nor discourages; judged, not measured
FIRST_STEP, LAST_STEP = 0.7, 0.16
"""In levels of :data:`~listen.practice.question.HARDEST`. With these, 200 simulated learners of any threshold from 1 to
9 are held within .03 of the target from the sixtieth answer on (``tests/practice/test_staircase.py``)."""
SETTLES_AFTER = 40.0  # answers, over which the step shrinks
FIRST_LEVEL = 2.0  # easy enough to begin with; judged


@dataclass(frozen=True, slots=True)
class Staircase:
    """Where a player stands with one kind of question.

    Parameters
    ----------
    level : float
        Of the next question, 0 to :data:`~listen.practice.question.HARDEST`.
    n_answers : int
        So far.

    Examples
    --------
    >>> after = Staircase().answered(right=True)
    >>> after.level > Staircase().level, after.n_answers
    (True, 1)
    """

    level: float = FIRST_LEVEL
    n_answers: int = 0

    @property
    def step(self) -> float:
        """By how much a right answer raises the level."""
        settled = min(1.0, self.n_answers / SETTLES_AFTER)
        return float(FIRST_STEP * (LAST_STEP / FIRST_STEP) ** settled)

    def answered(self, *, right: bool, target: float = TARGET) -> Staircase:
        """Return the staircase after one more answer."""
        change = self.step if right else -self.step * target / (1.0 - target)
        return Staircase(min(HARDEST, max(0.0, self.level + change)), self.n_answers + 1)
