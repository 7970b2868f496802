"""Alignment of strokes with what was set, by dynamic programming.

A place in the assignment is a cell, so many to a beat. From stroke to stroke a player goes on by as many
cells as time has passed at the tempo, a little more or less; or waits, best before a bar or a chord, and goes on there;
or jumps (a restart, a bar left out, a bar again), best to a bar line; or leaves the piece (talk, a count-in, tuning up)
and comes back. The cheapest way through all strokes is found by Viterbi's algorithm, for every tempo that a hand can
play, and the best tempo is kept.

References
----------
A. J. Viterbi, IEEE Transactions on Information Theory 13(2), 1967. A. Arzt, G. Widmer, "Towards effective any-time
music tracking", STAIRS 2010 (jumps by pauses and bar lines; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.assessment.score_cells import ScoreCells

Floats = NDArray[np.float64]
Places = NDArray[np.int64]

OUTSIDE = -1
FROM_ANYWHERE = -2
# tempi that are tried, and the ratio between them; judged, not measured
MOST_BPM, LEAST_BPM, TEMPO_STEP = 240.0, 36.0, 1.035
TEMPO_SPREAD = 0.45  # octaves: how far from the tempo that was set students stray
SET_SPREAD, STRAY_COST = 0.1, 2.0  # octaves around it in which most play, and nats for another: few strokes tell none
SLACK, DRIFT = 0.18, 0.06  # cells, and of the way: one standard deviation of where a stroke lies
LEAVE_COST, ENTER_COST = 4.5, 4.5  # nats for strokes outside the piece, each way; judged, not measured
JUMP_SHARE, LEAST_JUMP, MOST_JUMP = 0.75, 5.5, 10.0
"""A jump costs so much of what a whole bar of another chord costs: one bar that is another chord is cheaper than two
jumps around it, and a bar that is missing is cheaper than one that is wrong and an end that comes too soon. Who jumps
back without a pause and does not come back to the place that was left owes the other jump: an end before the last bar
costs less, and one wrong bar near the end would be a jump back and an end."""
BAR_NATS = 3.0  # between a stroke that fits and one that does not
PAUSE_DISCOUNT, PAUSE_RATIO = 2.0, 2.5  # nats less after a pause of so many usual gaps
MIDDLE_START = 3.0  # nats more for a start elsewhere than at the beginning or behind its rest; judged, not measured
OUTSIDE_SCORE = -0.6  # a stroke outside the piece, against one inside that fits (at most 2) or does not (at least -1)
FREE_STEP = 0.2  # to stay is free; to go on costs less than a bar that is left, so that what fits is taken
FULL_SAY_S, LEAST_SAY = 0.5, 0.3
"""A stroke counts whole when the next comes so much later: a bar of fast strumming says no more than one of slow."""
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
        Seconds a beat; 0 in free time.
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


def weigh_strokes(times_s: Floats) -> Floats:
    """Return how much each stroke counts: fast strokes on one chord say the same thing again and again."""
    gaps_s = np.diff(times_s, append=times_s[-1] + FULL_SAY_S) if len(times_s) else np.zeros(0)
    return np.asarray(np.clip(gaps_s / FULL_SAY_S, LEAST_SAY, 1.0))


def weigh_jumps(grid: ScoreCells, times_s: Floats, beats_s: Floats) -> Floats:
    """Return what a jump costs at each tempo, by how much the strokes of a bar say."""
    return np.asarray(np.clip(JUMP_SHARE * _weigh_bars(grid, times_s, beats_s), LEAST_JUMP, MOST_JUMP))


def _weigh_bars(grid: ScoreCells, times_s: Floats, beats_s: Floats) -> Floats:
    """Return what a whole bar of another chord costs at each tempo."""
    length_s = max(float(np.ptp(times_s)) + FULL_SAY_S, FULL_SAY_S)
    bar_says = float(weigh_strokes(times_s).sum()) / length_s * grid.bar_beats * beats_s
    return np.asarray(BAR_NATS * bar_says)


def align(grid: ScoreCells, emissions: Floats, times_s: Floats, *, tempo_bpm: float | None = None) -> Alignment:
    """Align strokes with the cells of a score.

    Parameters
    ----------
    grid : ScoreCells
    emissions : ndarray, shape (n_strokes, n_slots)
        How well each stroke fits each slot, in nats: about 2 where it does, -1 where it does not, 0 where it has no
        pitch.
    times_s : ndarray, shape (n_strokes,)
        When each stroke falls.
    tempo_bpm : float or None
        That was set.
    """
    say = weigh_strokes(times_s)
    scores = emissions[:, grid.slots] * say[:, None]
    away = np.where(emissions.any(axis=1), OUTSIDE_SCORE * say, 0.0)
    if grid.is_free:
        return _align_freely(grid, scores, away, times_s, np.flatnonzero(emissions.any(axis=1)))
    found = _align_in_time(grid, scores, away, times_s, (tempo_bpm, len(times_s)))
    debt = _find_debt(grid, found, times_s)
    if not debt:
        return found
    before = np.flatnonzero(found.jumps)[-2]
    other = _align_in_time(grid, scores, away, times_s, (tempo_bpm, int(before) + 1))
    owed, others = found.score - debt, other.score - _find_debt(grid, other, times_s)
    is_inside = (other.cells == OUTSIDE).sum() <= (found.cells == OUTSIDE).sum()
    return replace(other, score=others) if is_inside and others > owed else replace(found, score=owed)


def _find_debt(grid: ScoreCells, found: Alignment, times_s: Floats) -> float:
    """Return what a way still owes: it jumps back without a pause, and does not come back to where it left off."""
    inside = np.flatnonzero(found.cells != OUTSIDE)
    cells, jumps = found.cells[inside], np.flatnonzero(found.jumps[inside])
    if len(jumps) < 2:  # the first leads into the piece
        return 0.0
    last, at = int(jumps[-1]), int(inside[jumps[-1]])
    has_paused = times_s[at] - times_s[at - 1] > PAUSE_RATIO * np.median(np.diff(times_s))
    if has_paused or cells[last:].max() > cells[last - 1]:
        return 0.0
    beats_s = np.array([found.beat_s])
    jump_cost = float(weigh_jumps(grid, times_s, beats_s)[0])
    both = 2.0 * max(jump_cost, JUMP_SHARE * float(_weigh_bars(grid, times_s, beats_s)[0]))
    return max(0.0, both - jump_cost - float(grid.ending[cells[-1]]))


def _align_in_time(
    grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, asked: tuple[float | None, int]
) -> Alignment:
    """Align at the best tempo, near the one that was set if any; from a stroke on nothing comes by a jump."""
    tempo_bpm, no_jumps_from = asked
    n_tempi = int(np.log(MOST_BPM / LEAST_BPM) / np.log(TEMPO_STEP)) + 1
    tempi: Floats = np.asarray(LEAST_BPM * TEMPO_STEP ** np.arange(n_tempi), np.float64)
    beats_s = 60.0 / tempi
    jump_costs = weigh_jumps(grid, times_s, beats_s)
    totals = _score_tempi(grid, scores, away, times_s, (beats_s, jump_costs, no_jumps_from))
    if tempo_bpm is not None:
        off = np.log2(tempi / tempo_bpm)
        near, far = -0.5 * (off / SET_SPREAD) ** 2, -STRAY_COST - 0.5 * (off / TEMPO_SPREAD) ** 2
        totals = totals + np.logaddexp(near, far)
    best = int(totals.argmax())
    return _decode(grid, scores, away, times_s, (float(beats_s[best]), float(jump_costs[best]), no_jumps_from))


def _align_freely(grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, pitched: Places) -> Alignment:
    """Align the strokes that have a pitch: one without would stand for any chord that is missing."""
    cells, jumps = np.full(len(times_s), OUTSIDE, np.int64), np.zeros(len(times_s), bool)
    if not len(pitched):
        return Alignment(cells, jumps, jumps, 0.0, 0.0, grid.cells_a_beat)
    found = _decode(grid, scores[pitched], away[pitched], times_s[pitched], (0.0, MOST_JUMP, len(pitched)))
    cells[pitched], jumps[pitched] = found.cells, found.jumps
    return Alignment(cells, jumps, np.zeros_like(jumps), found.beat_s, found.score, found.cells_a_beat)


def _advance_costs(gap_s: float, beats_s: Floats, per_beat: int, most: int) -> tuple[Floats, Floats]:
    """Return what going on by 0, 1, 2 … cells costs at each tempo, in time and after a stop; shape (n_tempi, most + 1).

    Where a stop begins before is not told from where it ends; the cell that it leads to has its own cost.
    """
    expected = (gap_s / beats_s * per_beat)[:, None]
    sigma = SLACK * per_beat / 2.0 + DRIFT * expected
    steps = np.arange(most + 1)[None, :]
    off = (steps - expected) / sigma
    stopped = (expected - steps) / per_beat
    waits = np.where((stopped > 0.0) & (steps > 0), np.log1p(np.maximum(stopped, 0.0)), np.inf)
    return np.asarray(0.5 * off**2 + np.log(sigma / (SLACK * per_beat / 2.0))), waits


def _score_tempi(
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
    for at in range(1, len(times_s)):
        gap_s = min(float(times_s[at] - times_s[at - 1]), LONGEST_STEP)
        reach = int(np.ceil(gap_s / beats_s[-1] * grid.cells_a_beat * (1 + 3 * DRIFT) + 3 * SLACK)) + 1
        reach = min(reach, n_cells - 1)
        costs, waits = _advance_costs(gap_s, beats_s, grid.cells_a_beat, reach)
        discount = PAUSE_DISCOUNT if gap_s > PAUSE_RATIO * usual else 0.0
        best = cells.max(axis=1)
        jumped = np.maximum(grid.farther_jumps(cells) - jump_costs[:, None] + discount, (outside - ENTER_COST)[:, None])
        new = jumped - grid.landing[None, :] if at < no_jumps_from else np.full(cells.shape, -np.inf)
        for step in range(reach + 1):
            cost = np.minimum(costs[:, step, None], waits[:, step, None] + grid.waiting[step:])
            moved = cells[:, : n_cells - step] - cost
            np.maximum(new[:, step:], moved, out=new[:, step:])
        outside = np.maximum(outside, best - LEAVE_COST) + away[at]
        cells = new + scores[at]
    return np.asarray(np.maximum((cells - grid.ending).max(axis=1), outside - LEAVE_COST))


def _decode(
    grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, pace: tuple[float, float, int]
) -> Alignment:
    """Find the best way at one tempo and its cost of a jump."""
    beat_s, jump_cost, no_jumps_from = pace
    n_strokes, n_cells = len(times_s), len(grid.slots)
    cells = -MIDDLE_START - ENTER_COST - grid.landing
    cells = np.where(np.arange(n_cells) <= grid.n_rest, 0.0, cells) + scores[0]
    outside = float(away[0])
    back = np.zeros((n_strokes, n_cells), np.int64)  # cell before; n_cells: outside
    jumped_by, waited_by = np.zeros((n_strokes, n_cells), bool), np.zeros((n_strokes, n_cells), bool)
    back_outside = np.full(n_strokes, n_cells, np.int64)
    usual = float(np.median(np.diff(times_s))) if n_strokes > 1 else 1.0
    own = np.arange(n_cells)
    for at in range(1, n_strokes):
        gap_s = min(float(times_s[at] - times_s[at - 1]), LONGEST_STEP)
        costs = _step_costs(grid, gap_s, beat_s, n_cells)
        discount = PAUSE_DISCOUNT if gap_s > PAUSE_RATIO * usual else 0.0
        top = int(cells.argmax())
        by_jump, by_entry = grid.farther_jumps(cells) - jump_cost + discount, outside - ENTER_COST
        new = np.maximum(by_jump, by_entry) - grid.landing if at < no_jumps_from else np.full(n_cells, -np.inf)
        source, jumps = np.where(by_jump >= by_entry, FROM_ANYWHERE, n_cells), np.ones(n_cells, bool)
        for step, (on, wait) in enumerate(costs):
            late = wait + grid.waiting[step:]
            moved = cells[: n_cells - step] - np.minimum(on, late)
            better = moved > new[step:]
            waited_by[at, step:][better] = (late < on)[better]
            new[step:][better] = moved[better]
            source[step:][better] = own[: n_cells - step][better]
            jumps[step:][better] = False
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


def _step_costs(grid: ScoreCells, gap_s: float, beat_s: float, n_cells: int) -> list[tuple[float, float]]:
    """Return what going on by 0, 1, 2 … cells costs, in time and after a stop; in free time nothing is a stop."""
    if grid.is_free:
        return [(0.0, np.inf), (FREE_STEP, np.inf)][: max(1, min(2, n_cells))]
    reach = int(np.ceil(gap_s / beat_s * grid.cells_a_beat * (1 + 3 * DRIFT) + 3 * SLACK)) + 1
    costs, waits = _advance_costs(gap_s, np.array([beat_s]), grid.cells_a_beat, min(reach, n_cells - 1))
    return list(zip(costs[0].tolist(), waits[0].tolist(), strict=True))
