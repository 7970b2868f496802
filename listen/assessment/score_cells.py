"""The cells of a score, several to a beat, and what it costs to begin, to wait or to end in each."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from listen.assessment.score_clock import ScoreClock
from listen.assessment.target import Score
from listen.reading import ANYTHING, NO_CHORD

Floats = NDArray[np.float64]
Places = NDArray[np.int64]

OFF_BAR, OFF_BEAT = 1.5, 4.0  # nats more for a jump to a beat inside a bar, and to between beats
FARTHER = 0.25  # nats more for each bar that a jump leads farther away
END_COST, LEFT_COST, MOST_LEFT = 2.0, 0.3, 6.0  # an end before the last bar, and each bar that is left
ROUNDED_DIGITS = 9  # of lengths in cells: what is farther behind the point is an error of rounding
WAIT_COST = 2.5  # nats for a stop before a bar or a chord; a long one costs more by the logarithm of its beats; judged


@dataclass(frozen=True, slots=True)
class ScoreCells:
    """The cells of a score.

    Parameters
    ----------
    slots : ndarray of int, shape (n_cells,)
        Index of the slot that each lies in.
    landing : ndarray, shape (n_cells,)
        What a jump to it costs more.
    waiting : ndarray, shape (n_cells,)
        What a stop before it costs.
    farther : float
        What a jump costs more for each cell that it leads away.
    ending : ndarray, shape (n_cells,)
        What it costs to end there.
    bar_beats : float
    cells_a_beat : int
    is_free : bool
    n_rest : int
        How many cells at the beginning are a rest: who plays nothing there begins behind them.
    clock : ScoreClock
        When beats fall.
    fastest : float
        How fast the fastest bar goes, as a share of the first.
    """

    slots: Places
    landing: Floats
    waiting: Floats
    farther: float
    ending: Floats
    bar_beats: float
    cells_a_beat: int
    is_free: bool
    n_rest: int = 0
    clock: ScoreClock = field(default_factory=ScoreClock)
    fastest: float = 1.0

    def list_ways(self, most_steps: int) -> tuple[Floats, list[Places]]:
        """List how long it is from each cell to the one 0, 1, 2 … steps on: few lengths, which many cells share.

        Returns
        -------
        lengths : ndarray, shape (n_lengths,)
            In cells of the first tempo, each once.
        ways : list of ndarray of int, shape (n_cells - step,), or (1,) where all beats last alike
            Which length it is, for each step.
        """
        if self.clock.is_even:
            return np.arange(most_steps + 1.0), [np.array([step]) for step in range(most_steps + 1)]
        n_cells = len(self.slots)
        falls = self.clock.at(np.arange(n_cells) / self.cells_a_beat) * self.cells_a_beat
        steps = [falls[step:] - falls[: n_cells - step] for step in range(most_steps + 1)]
        lengths, ways = np.unique(np.concatenate(steps).round(ROUNDED_DIGITS), return_inverse=True)
        return lengths, np.split(ways, np.cumsum([len(step) for step in steps])[:-1])

    def farther_jumps(self, cells: Floats) -> Floats:
        """Return for each cell the best score to jump from, the way taken off; the last axis is cells."""
        way = self.farther * np.arange(cells.shape[-1])
        ahead = np.maximum.accumulate(cells + way, axis=-1) - way
        back = np.maximum.accumulate((cells - way)[..., ::-1], axis=-1)[..., ::-1] + way
        return np.asarray(np.maximum(ahead, back))


def lay_cells(score: Score) -> ScoreCells:
    """Lay a score out in cells."""
    per_beat = 1 if score.assignment.is_free else 3 if score.assignment.is_compound else 2
    n_cells = round(score.n_beats * per_beat)
    starts = np.array([slot.start for slot in score.slots])
    at = np.arange(n_cells) / per_beat
    slots = np.clip(np.searchsorted(starts, at + 1e-6, side="right") - 1, 0, None)
    landing = np.where(np.arange(n_cells) % per_beat == 0, OFF_BAR, OFF_BEAT)
    for bar in score.bars[:-1]:
        landing[round(bar * per_beat)] = 0.0
    if score.assignment.is_free:
        landing[:] = 0.5
        landing[0] = 0.0
    waiting = WAIT_COST + np.where(np.diff(slots, prepend=-1) > 0, 0.0, landing)
    bars = np.searchsorted(np.array(score.bars), at + 1e-6, side="right") - 1
    left = len(score.bars) - 2 - np.array(score.held_bars())[bars]
    ending = np.where(left > 0, np.minimum(END_COST + LEFT_COST * left, MOST_LEFT), 0.0)
    farther = FARTHER * (len(score.bars) - 1) / n_cells
    bar_beats = float(np.median(np.diff(score.bars)))
    is_struck = np.array([score.targets[slot.target].symbol != NO_CHORD for slot in score.slots])
    is_struck[0] &= score.targets[score.slots[0].target].symbol != ANYTHING or score.slots[0].end >= score.bars[1]
    n_rest = int(np.argmax(is_struck[slots]))  # a first chord may come after its beat, with nothing before it
    return ScoreCells(
        slots, landing, waiting, farther, ending, bar_beats, per_beat, score.assignment.is_free, n_rest, score.clock,
        max(score.paces, default=1.0),
    )  # fmt: skip
