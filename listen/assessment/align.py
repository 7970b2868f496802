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

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.assessment.cheapest_way import OUTSIDE, PAUSE_RATIO, Alignment, decode_way, score_tempi
from listen.assessment.score_cells import ScoreCells

Floats = NDArray[np.float64]
Places = NDArray[np.int64]
Tempi = tuple[Floats, Floats]

# tempi that are tried, and the ratio between them; judged, not measured
MOST_BPM, LEAST_BPM, TEMPO_STEP = 240.0, 36.0, 1.035
TEMPO_SPREAD = 0.45  # octaves: how far from the tempo that was set students stray
SET_SPREAD, STRAY_COST = 0.1, 2.0  # octaves around it in which most play, and nats for another: few strokes tell none
NEAR_STEPS = 3  # so many tempi to either side of one that is known
JUMP_SHARE, LEAST_JUMP, MOST_JUMP = 0.75, 5.5, 10.0
"""A jump costs so much of what a whole bar of another chord costs: one bar that is another chord is cheaper than two
jumps around it, and a bar that is missing is cheaper than one that is wrong and an end that comes too soon. Who jumps
back without a pause and does not come back to the place that was left owes the other jump: an end before the last bar
costs less, and one wrong bar near the end would be a jump back and an end."""
STRAIGHT_BARS = 1.0  # by how many wrong bars the way straight through may be worse, where the length is right; judged
BAR_NATS = 3.0  # between a stroke that fits and one that does not
OUTSIDE_SCORE = -0.6  # a stroke outside the piece, against one inside that fits (at most 2) or does not (at least -1)
FULL_SAY_S, LEAST_SAY = 0.5, 0.3
"""A stroke counts whole when the next comes so much later: a bar of fast strumming says no more than one of slow."""


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


def align(
    grid: ScoreCells, emissions: Floats, times_s: Floats, *, tempo_bpm: float | None = None, near_s: float | None = None
) -> Alignment:
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
    near_s : float or None
        How long a beat is, in seconds, where that is known but for a little: other tempi are not tried.
    """
    say = weigh_strokes(times_s)
    scores = emissions[:, grid.slots] * say[:, None]
    away = np.where(emissions.any(axis=1), OUTSIDE_SCORE * say, 0.0)
    if grid.is_free:
        return _align_freely(grid, scores, away, times_s, np.flatnonzero(emissions.any(axis=1)))
    tempi = _lay_tempi(tempo_bpm, near_s)
    found = _settle_debt(grid, scores, away, times_s, tempi)
    return _keep_time(grid, scores, away, times_s, (tempi, found))


def _lay_tempi(tempo_bpm: float | None, near_s: float | None) -> Tempi:
    """Return how long a beat is at each tempo that is tried, and the nats that the tempo that was set gives to it."""
    n_tempi = int(np.log(MOST_BPM / LEAST_BPM) / np.log(TEMPO_STEP)) + 1
    bpm: Floats = np.asarray(LEAST_BPM * TEMPO_STEP ** np.arange(n_tempi), np.float64)
    if near_s is not None:
        bpm = bpm[np.abs(np.log(bpm * near_s / 60.0)) < (NEAR_STEPS + 0.5) * np.log(TEMPO_STEP)]
    if tempo_bpm is None:
        return 60.0 / bpm, np.zeros_like(bpm)
    off = np.log2(bpm / tempo_bpm)
    near, far = -0.5 * (off / SET_SPREAD) ** 2, -STRAY_COST - 0.5 * (off / TEMPO_SPREAD) ** 2
    return 60.0 / bpm, np.asarray(np.logaddexp(near, far))


def _settle_debt(grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, tempi: Tempi) -> Alignment:
    """Align in time; what the best way still owes is charged, and the best without its last jump is held against it."""
    found = _align_in_time(grid, scores, away, times_s, (tempi, len(times_s)))
    debt = _find_debt(grid, found, times_s)
    if not debt:
        return found
    before = np.flatnonzero(found.jumps)[-2]
    other = _align_in_time(grid, scores, away, times_s, (tempi, int(before) + 1))
    owed, others = found.score - debt, other.score - _find_debt(grid, other, times_s)
    is_inside = (other.cells == OUTSIDE).sum() <= (found.cells == OUTSIDE).sum()
    return replace(other, score=others) if is_inside and others > owed else replace(found, score=owed)


def _keep_time(
    grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, asked: tuple[Tempi, Alignment]
) -> Alignment:
    """Return the way straight through instead of one with jumps, where the playing has the length that was set.

    To play bars again takes time, and who then stops or leaves bars out so that it all comes to the right length has
    rather played wrong bars: they may cost a bar more than the jumps, so two in a row do.
    """
    tempi, found = asked
    first = int(np.argmax(found.cells != OUTSIDE))
    usual = np.median(np.diff(times_s)) if len(times_s) > 1 else 1.0
    turns = np.flatnonzero(found.jumps | (np.diff(found.cells == OUTSIDE, prepend=True) != 0))
    turns = turns[turns > first]
    if not len(turns) or (np.diff(times_s)[turns - 1] > PAUSE_RATIO * usual).any():
        return found
    straight = _align_in_time(grid, scores, away, times_s, (tempi, first + 1))
    begins_alike = straight.cells[first] == found.cells[first]
    is_whole = begins_alike and (straight.cells[first:] != OUTSIDE).all() and grid.ending[straight.cells[-1]] == 0.0
    is_same_tempo = abs(np.log(straight.beat_s / found.beat_s)) < 1.5 * np.log(TEMPO_STEP)
    bar_nats = float(_weigh_bars(grid, times_s, np.array([found.beat_s]))[0])
    is_near = straight.score + STRAIGHT_BARS * bar_nats > found.score
    return straight if is_whole and is_same_tempo and not straight.waits.any() and is_near else found


def _find_debt(grid: ScoreCells, found: Alignment, times_s: Floats) -> float:
    """Return what a way still owes: it jumps back without a pause, and does not come back to where it left off."""
    inside = np.flatnonzero(found.cells != OUTSIDE)
    cells, jumps = found.cells[inside], np.flatnonzero(found.jumps[inside])
    if len(jumps) < 2:  # the first leads into the piece
        return 0.0
    last, at = int(jumps[-1]), int(inside[jumps[-1]])
    has_paused = times_s[at] - times_s[at - 1] > PAUSE_RATIO * np.median(np.diff(times_s))
    gone_s = float(times_s[at] - times_s[inside[last - 1]])  # strokes between may lie outside the piece
    reached = grid.clock.beat_after(float(cells[last - 1]) / grid.cells_a_beat, gone_s / found.beat_s)
    left_off = round(reached * grid.cells_a_beat) - 1
    if has_paused or cells[last:].max() > left_off:
        return 0.0
    beats_s = np.array([found.beat_s])
    jump_cost = float(weigh_jumps(grid, times_s, beats_s)[0])
    both = 2.0 * max(jump_cost, JUMP_SHARE * float(_weigh_bars(grid, times_s, beats_s)[0]))
    return max(0.0, both - jump_cost - float(grid.ending[cells[-1]]))


def _align_in_time(
    grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, asked: tuple[Tempi, int]
) -> Alignment:
    """Align at the best of some tempi; from a stroke on nothing comes by a jump."""
    (beats_s, leanings), no_jumps_from = asked
    jump_costs = weigh_jumps(grid, times_s, beats_s)
    totals = score_tempi(grid, scores, away, times_s, (beats_s, jump_costs, no_jumps_from)) + leanings
    best = int(totals.argmax())
    return decode_way(grid, scores, away, times_s, (float(beats_s[best]), float(jump_costs[best]), no_jumps_from))


def _align_freely(grid: ScoreCells, scores: Floats, away: Floats, times_s: Floats, pitched: Places) -> Alignment:
    """Align the strokes that have a pitch: one without would stand for any chord that is missing."""
    cells, jumps = np.full(len(times_s), OUTSIDE, np.int64), np.zeros(len(times_s), bool)
    if not len(pitched):
        return Alignment(cells, jumps, jumps, 0.0, 0.0, grid.cells_a_beat)
    found = decode_way(grid, scores[pitched], away[pitched], times_s[pitched], (0.0, MOST_JUMP, len(pitched)))
    cells[pitched], jumps[pitched] = found.cells, found.jumps
    return Alignment(cells, jumps, np.zeros_like(jumps), found.beat_s, found.score, found.cells_a_beat)
