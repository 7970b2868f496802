"""The cheapest way of strokes through the cells of a score, by Viterbi's algorithm.

References
----------
A. J. Viterbi, IEEE Transactions on Information Theory 13(2), 1967.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.assessment.score_cells import ScoreCells

Floats = NDArray[np.float64]
Places = NDArray[np.int64]
Ways = tuple[Floats, list[Places]]  # as `ScoreCells.list_ways` lists them

OUTSIDE = -1
FROM_ANYWHERE = -2
SLACK, DRIFT = 0.18, 0.06  # cells, and of the way: one standard deviation of where a stroke lies
LEAVE_COST, ENTER_COST = 4.5, 4.5  # nats for strokes outside the piece, each way; judged, not measured
PAUSE_DISCOUNT, PAUSE_RATIO = 2.0, 2.5  # nats less after a pause of so many usual gaps
MIDDLE_START = 3.0  # nats more for a start elsewhere than at the beginning or behind its rest; judged, not measured
LEFT_OUT_COST, MOST_LEFT_OUT = 3.5, 2
"""Nats for each chord that is left out in free time, so many in a row at most: more than another chord, struck once,
costs, and less than that and an end or a beginning elsewhere; judged."""
FREE_STEP = 0.2  # to stay is free; to go on costs less than a bar that is left, so that what fits is taken
LONGEST_STEP = 20.0  # seconds without a stroke that still count as playing on: a chord may be held over bars


@dataclass(frozen=True, slots=True)
class Alignment:
    """Where in the assignment each stroke lies.

    Parameters
    ----------
    cells : ndarray of int, shape (n,)
        :data:`OUTSIDE` where a stroke is none of the piece.
    jumps : ndarray of bool, shape (n,)
        Whether a stroke came by a jump, or into the piece.
    waits : ndarray of bool, shape (n,)
        Whether a stroke came after a stop, the bars before it played or held.
    beat_s : float
        Seconds a beat, of the first tempo; 0 in free time.
    score : float
        Nats; higher is better.
    cells_a_beat : int
    """

    cells: Places
    jumps: NDArray[np.bool_]
    waits: NDArray[np.bool_]
    beat_s: float
    score: float
    cells_a_beat: int


def spread_steps(expected: Floats, per_beat: int) -> Floats:
    """Return one standard deviation of steps in time of so many cells, in cells."""
    return SLACK * per_beat / 2.0 + DRIFT * expected


def _find_reach(grid: ScoreCells, gap_s: float, least_beat_s: float) -> int:
    """Return how many cells can be gone on by at most."""
    expected = gap_s / least_beat_s * grid.cells_a_beat * grid.fastest
    return min(int(np.ceil(expected * (1 + 3 * DRIFT) + 3 * SLACK)) + 1, len(grid.slots) - 1)


def _list_ways(grid: ScoreCells, times_s: Floats, least_beat_s: float) -> Ways:
    """List the ways from cell to cell that strokes may go on by."""
    gap_s = min(float(np.diff(times_s).max(initial=0.0)), LONGEST_STEP)
    return grid.list_ways(_find_reach(grid, gap_s, least_beat_s))


def _walk_costs(grid: ScoreCells, gap_s: float, beats_s: Floats, listed: Ways) -> Iterator[tuple[Floats, Floats]]:
    """Return what going on by 0, 1, 2 … cells costs at each tempo, in time and after a stop.

    Where a stop begins before is not told from where it ends; the cell that it leads to has its own cost.

    Returns
    -------
    iterator of (ndarray, ndarray), shape (n_tempi, 1) or (n_tempi, n_cells - step)
        The latter where not all beats last alike.
    """
    lengths, ways = listed
    costs, waits = _advance_costs(gap_s, beats_s, grid.cells_a_beat, lengths)
    for way in ways[: _find_reach(grid, gap_s, float(beats_s[-1])) + 1]:
        yield costs.take(way, axis=1), waits.take(way, axis=1)


def _advance_costs(gap_s: float, beats_s: Floats, per_beat: int, ways: Floats) -> tuple[Floats, Floats]:
    """Return what it costs at each tempo to go on by so many cells of the first; shape (n_tempi, n_ways)."""
    expected = (gap_s / beats_s * per_beat)[:, None]
    sigma = spread_steps(expected, per_beat)
    steps = ways[None, :]
    off = (steps - expected) / sigma
    stopped = (expected - steps) / per_beat
    waits = np.where((stopped > 0.0) & (steps > 0), np.log1p(np.maximum(stopped, 0.0)), np.inf)
    return np.asarray(0.5 * off**2 + np.log(sigma / (SLACK * per_beat / 2.0))), waits


def score_tempi(
    grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, pace: tuple[Floats, Floats, int]
) -> Floats:
    """Return the score of the best way at each tempo and its cost of a jump, without the way."""
    beats_s, jump_costs, no_jumps_from = pace
    n_cells = len(grid.slots)
    cells = np.full((len(beats_s), n_cells), -np.inf)
    cells[:] = -MIDDLE_START - ENTER_COST - grid.landing
    cells[:, : grid.n_rest + 1] = 0.0
    outside = np.zeros(len(beats_s))
    cells = cells + scores[0]
    outside = outside + away[0]
    usual = float(np.median(np.diff(times_s))) if len(times_s) > 1 else 1.0
    ways = _list_ways(grid, times_s, float(beats_s[-1]))
    for at in range(1, len(times_s)):
        gap_s = min(float(times_s[at] - times_s[at - 1]), LONGEST_STEP)
        discount = PAUSE_DISCOUNT if gap_s > PAUSE_RATIO * usual else 0.0
        best = cells.max(axis=1)
        jumped = np.maximum(grid.farther_jumps(cells) - jump_costs[:, None] + discount, (outside - ENTER_COST)[:, None])
        new = jumped - grid.landing[None, :] if at < no_jumps_from else np.full(cells.shape, -np.inf)
        for step, (on, wait) in enumerate(_walk_costs(grid, gap_s, beats_s, ways)):
            cost = np.minimum(on, wait + grid.waiting[step:])
            moved = cells[:, : n_cells - step] - cost
            np.maximum(new[:, step:], moved, out=new[:, step:])
        outside = np.maximum(outside, best - LEAVE_COST) + away[at]
        cells = new + scores[at]
    return np.asarray(np.maximum((cells - grid.ending).max(axis=1), outside - LEAVE_COST))


def decode_way(
    grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, pace: tuple[float, float, int]
) -> Alignment:
    """Find the best way at one tempo and its cost of a jump."""
    beat_s, jump_cost, no_jumps_from = pace
    n_strokes, n_cells = len(times_s), len(grid.slots)
    cells = -MIDDLE_START - ENTER_COST - grid.landing
    if grid.is_free:
        cells = np.maximum(cells, -LEFT_OUT_COST * np.arange(n_cells))
    cells = np.where(np.arange(n_cells) <= grid.n_rest, 0.0, cells) + scores[0]
    outside = float(away[0])
    back = np.zeros((n_strokes, n_cells), np.int64)  # cell before; n_cells: outside
    jumped_by, waited_by = np.zeros((n_strokes, n_cells), bool), np.zeros((n_strokes, n_cells), bool)
    back_outside = np.full(n_strokes, n_cells, np.int64)
    usual = float(np.median(np.diff(times_s))) if n_strokes > 1 else 1.0
    own, ways = np.arange(n_cells), None if grid.is_free else _list_ways(grid, times_s, beat_s)
    for at in range(1, n_strokes):
        gap_s = min(float(times_s[at] - times_s[at - 1]), LONGEST_STEP)
        discount = PAUSE_DISCOUNT if gap_s > PAUSE_RATIO * usual else 0.0
        top = int(cells.argmax())
        by_jump, by_entry = grid.farther_jumps(cells) - jump_cost + discount, outside - ENTER_COST
        new = np.maximum(by_jump, by_entry) - grid.landing if at < no_jumps_from else np.full(n_cells, -np.inf)
        source, jumps = np.where(by_jump >= by_entry, FROM_ANYWHERE, n_cells), np.ones(n_cells, bool)
        for step, (on, wait) in enumerate(_step_costs(grid, gap_s, beat_s, ways)):
            late = wait + grid.waiting[step:]
            moved = cells[: n_cells - step] - np.minimum(on, late)
            better = moved > new[step:]
            waited_by[at, step:][better] = (late < on)[better]
            new[step:][better] = moved[better]
            source[step:][better] = own[: n_cells - step][better]
            jumps[step:][better] = grid.is_free and step > 1
        free = np.flatnonzero(source == FROM_ANYWHERE)
        if len(free):
            source[free] = (cells - grid.farther * np.abs(own - free[:, None])).argmax(axis=1)
        back[at], jumped_by[at] = source, jumps
        left = float(cells[top]) - LEAVE_COST
        back_outside[at] = top if left > outside else n_cells
        outside = max(outside, left) + float(away[at])
        cells = new + scores[at]
    places = np.full(n_strokes, OUTSIDE, np.int64)
    jumps, waits = np.zeros(n_strokes, bool), np.zeros(n_strokes, bool)
    ended = cells - grid.ending
    now = int(ended.argmax()) if ended.max() >= outside - LEAVE_COST else n_cells
    total = max(float(ended.max()), outside - LEAVE_COST)
    for at in range(n_strokes - 1, -1, -1):
        places[at] = OUTSIDE if now == n_cells else now
        if now == n_cells:
            now = int(back_outside[at])
        else:
            jumps[at] = at == 0 or bool(jumped_by[at, now])
            waits[at] = not jumps[at] and bool(waited_by[at, now])
            now = int(back[at, now])
    return Alignment(places, jumps, waits, beat_s, total, grid.cells_a_beat)


def _step_costs(grid: ScoreCells, gap_s: float, beat_s: float, ways: Ways | None) -> Iterator[tuple[Floats, Floats]]:
    """Return what going on by 0, 1, 2 … cells costs, in time and after a stop; in free time nothing is a stop."""
    if ways is None:
        left_out = [FREE_STEP + LEFT_OUT_COST * n for n in range(MOST_LEFT_OUT + 1)]
        yield from ((np.array([cost]), np.array([np.inf])) for cost in [0.0, *left_out][: len(grid.slots)])
    else:
        yield from ((on[0], wait[0]) for on, wait in _walk_costs(grid, gap_s, np.array([beat_s]), ways))
