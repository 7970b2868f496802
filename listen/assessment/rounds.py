"""The times that a piece was played in a recording, and which of them is judged, in which setting of the guitar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.assessment.cheapest_way import OUTSIDE, Alignment
from listen.assessment.drifting import follow_drift
from listen.assessment.free_changes import settle_free_changes
from listen.assessment.heard import HeardMatrix, lay_out_heard, stroke_scores
from listen.assessment.judge_silent import drop_silent_end
from listen.assessment.longer_bars import find_longer_bars
from listen.assessment.placing import Placed, find_rounds, is_filled
from listen.assessment.ritardando import follow_ritardando
from listen.assessment.score_cells import ScoreCells, lay_cells
from listen.assessment.setting import find_setting
from listen.assessment.slots import find_played
from listen.assessment.taken_tempi import find_taken_tempi
from listen.assessment.target import Score
from listen.assessment.wrong_bar import find_wrong_bar
from listen.reading import Performance

LEAST_IN_ORDER = 0.7
"""How much of what was played has to fit in order, where it fits moved only: with fifteen settings and free jumps to
choose from, other songs reach 0.6. Of 30 guitars that were tuned down or had another capo none has less than 0.99."""
SKIPS = frozenset({"restart", "repeated", "left out"})


@dataclass(frozen=True, slots=True)
class RoundsRead:
    """The rounds of a recording.

    Parameters
    ----------
    score : Score
        As it was set, or at the tempi and in the longer bars that were played.
    heard : HeardMatrix
        In the setting that fits.
    alignment : Alignment
    gained : float
        By how many nats that setting is better than the one that was set.
    fits : ndarray, shape (n_sounds, n_targets)
    rounds : tuple of Placed
    shares : tuple of float
        Of the bars set, those that each round matches.
    chosen : Placed or None
        The one that is judged.
    """

    score: Score
    heard: HeardMatrix
    alignment: Alignment
    gained: float
    fits: NDArray[np.float64]
    rounds: tuple[Placed, ...]
    shares: tuple[float, ...]
    chosen: Placed | None

    @property
    def share(self) -> float:
        """How much of what was set the chosen round matches."""
        return max(self.shares, default=0.0) if self.chosen is None else self.shares[self.rounds.index(self.chosen)]


def read_rounds(performance: Performance, score: Score) -> RoundsRead:
    """Read the rounds of a recording: in another setting than was set only where it is played in order there."""
    heard = lay_out_heard(performance)
    read = _read(heard, score, tries_others=True)
    if read.heard.shift and _share_in_order(read) < LEAST_IN_ORDER:
        return _read(heard, score, tries_others=False)
    return read


def _read(heard: HeardMatrix, score: Score, *, tries_others: bool) -> RoundsRead:
    grid = lay_cells(score)
    heard, alignment, gained = find_setting(heard, score, grid, tries_others=tries_others)
    score, grid, alignment = find_taken_tempi(heard, score, grid, alignment)
    score, grid, alignment = find_longer_bars(heard, score, grid, alignment)
    alignment = follow_drift(heard, score, grid, find_wrong_bar(heard, score, grid, alignment))
    alignment = _leave_after_end(heard, score, grid, follow_ritardando(heard, score, grid, alignment))
    alignment = settle_free_changes(heard, score, grid, alignment)
    times_s = np.array([stroke.time_s for stroke in heard.performance.strokes])
    rounds = [drop_silent_end(one, score, heard.performance) for one in find_rounds(score, grid, alignment, times_s)]
    fits = heard.fit(score)
    chosen, shares = _choose_round(rounds, score, heard, fits)
    return RoundsRead(score, heard, alignment, gained, fits, tuple(rounds), tuple(shares), chosen)


def _leave_after_end(heard: HeardMatrix, score: Score, grid: ScoreCells, alignment: Alignment) -> Alignment:
    """Leave out what comes by a jump after the last bar was reached and fits nowhere: a chair, a phone put away."""
    turns = np.flatnonzero(alignment.jumps)
    if not len(turns):
        return alignment
    inside = np.flatnonzero(alignment.cells != OUTSIDE)
    before, after = inside[inside < turns[-1]], inside[inside >= turns[-1]]
    slots = grid.slots[alignment.cells]
    is_over = any(score.slots[slot].place == len(score.bars) - 2 for slot in slots[before].tolist())
    if not is_over or (stroke_scores(heard, score)[after, slots[after]] > 0.0).any():
        return alignment
    cells, jumps = alignment.cells.copy(), alignment.jumps.copy()
    cells[after], jumps[after] = OUTSIDE, False
    return replace(alignment, cells=cells, jumps=jumps)


def _choose_round(
    rounds: Sequence[Placed], score: Score, heard: HeardMatrix, fits: np.ndarray
) -> tuple[Placed | None, list[float]]:
    """Choose the round that matches most bars; of equals one with nothing else in it, the last."""
    shares = []
    for one in rounds:
        good: dict[int, bool] = {}
        for played in find_played(score, one, heard, fits):
            if played.target.is_judged and played.sounds:
                fit = float(np.mean(fits[list(played.sounds), played.slot.target])) > 0.0
                good[played.slot.place] = good.get(played.slot.place, True) and fit
        judged = {slot.place for slot in score.slots if score.targets[slot.target].is_judged}
        shares.append(sum(good.values()) / max(1, len(judged)))
    if not rounds:
        return None, shares
    filled = [any(is_filled(one, way, heard.performance) for way in range(len(one.jumps))) for one in rounds]
    best = max(range(len(rounds)), key=lambda at: (round(shares[at], 2), not filled[at], at))
    return rounds[best], shares


def _share_in_order(read: RoundsRead) -> float:
    """Return how much of the chosen round fits, of the bars that it played and left out; each jump costs a bar."""
    one, score = read.chosen, read.score
    if one is None:
        return 0.0
    scores, bars = stroke_scores(read.heard, score), np.array(score.bars)
    starts = np.array([slot.start for slot in score.slots])
    n_fit = n_played = 0
    for run in one.runs:
        first, last = np.searchsorted(bars, run.beats[[0, -1]] + 1e-6, side="right")
        n_played += int(last - first) + 1
        slots = np.searchsorted(starts, run.beats + 1e-6, side="right") - 1
        n_fit += int((scores[list(run.strokes), slots] > 0.0).sum())
    sounding = [
        stroke
        for stroke in read.heard.performance.strokes
        if stroke.sound >= 0 and one.start_s <= stroke.time_s <= one.end_s
    ]
    skips = [jump for jump in one.jumps if jump.kind in SKIPS]
    n_left = min(one.visits) + sum(jump.until - jump.place for jump in skips)
    return (n_fit / max(1, len(sounding)) * n_played - len(skips)) / (n_played + n_left)
