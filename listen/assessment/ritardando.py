"""A tempo that slows down to the end of a piece: where it begins to, and the clock by which its beats fall.

Each beat lasts longer than the one before it by as much, so that time is a line up to where the slowing begins and a
parabola from there on. A stop, which moves all that follows by as much, is no slowing; nor is a tempo that drifts all
the way through, nor a last stroke that alone comes late.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.assessment.align import align, weigh_strokes
from listen.assessment.cheapest_way import OUTSIDE, Alignment, spread_steps
from listen.assessment.heard import HeardMatrix, stroke_scores
from listen.assessment.placing import Placed, StrokeRun
from listen.assessment.score_cells import ScoreCells
from listen.assessment.target import Score

Floats = NDArray[np.float64]

SLOWED_BEATS, GROWN = (4.0, 8.0, 12.0, 16.0), (1.5, 2.0, 2.7)
"""Clocks that are tried: so many beats slow down, and the last lasts so many times as long; judged."""
SLOWER_NATS = 2.0  # by which such a clock has to explain the strokes better than the one that goes evenly; judged
RARER = 0.85  # of the usual number of strokes in the last seconds: else nothing slows down
LEAST_SLOWED, MOST_SLOWED = 3.0, 20.0  # beats
STEADY_BEATS = 8.0  # before it; fewer tell no tempo
LEAST_GROWN = 1.15  # times as long as before is a beat at the end
MOST_OFF = 0.1  # beats off the curve, in the mean
LEAST_BETTER = 4.0  # times the squares off the curve are those off a line, and half so many those off others; judged
LEAST_STROKES, LEAST_SLOWED_STROKES = 8, 4  # in all, and in the slowing; fewer tell no curve


@dataclass(frozen=True, slots=True)
class Ritardando:
    """A tempo that slows down to the end.

    Parameters
    ----------
    run : StrokeRun
        In which it does.
    start : float
        The beat from which on it slows down.
    beat_s : float
        How long a beat is before, in seconds.
    grows_s : float
        By how much each beat is longer than the one before it.
    level_s : float
        When beat 0 would fall.
    """

    run: StrokeRun
    start: float
    beat_s: float
    grows_s: float
    level_s: float

    def time_at(self, beat: float) -> float:
        """Return when a beat falls."""
        return self.level_s + self.beat_s * beat + 0.5 * self.grows_s * max(0.0, beat - self.start) ** 2

    def beat_length(self, from_beat: float, to_beat: float) -> float:
        """Return how long a beat is in the mean between two, in seconds."""
        return (self.time_at(to_beat) - self.time_at(from_beat)) / (to_beat - from_beat)


def follow_ritardando(heard: HeardMatrix, score: Score, grid: ScoreCells, alignment: Alignment) -> Alignment:
    """Align anew by clocks that slow down to the last stroke, where one of them explains the strokes better.

    Each is as costly as the alignment that was: none is tried where the last strokes fall as they should, and others
    at tempi around the one that was found.
    """
    times_s = np.array([stroke.time_s for stroke in heard.performance.strokes])
    if not alignment.beat_s or not _has_rarer_end(times_s, alignment.beat_s):
        return alignment
    emissions, best = stroke_scores(heard, score), alignment
    if _lost_at_end(grid, emissions, times_s, alignment) <= SLOWER_NATS:
        return alignment
    for n_beats in SLOWED_BEATS:
        for grown in GROWN:
            clock = _slow_clock(times_s, alignment.beat_s, n_beats, grown)
            found = align(grid, emissions, clock, tempo_bpm=score.tempo_bpm, near_s=alignment.beat_s)
            best = max(best, found, key=lambda one: one.score)
    return best if best.score > alignment.score + SLOWER_NATS else alignment


def _has_rarer_end(times_s: Floats, beat_s: float) -> bool:
    """Whether strokes are rarer in the seconds that eight beats last before the last stroke than they usually are."""
    last_s, span_s = float(times_s[-1]), STEADY_BEATS * beat_s
    if last_s - float(times_s[0]) < 2.0 * span_s:
        return False
    usual = (len(times_s) - 1) / (last_s - float(times_s[0]))
    return int(((times_s > last_s - span_s) & (times_s < last_s)).sum()) < RARER * usual * span_s


def _lost_at_end(grid: ScoreCells, emissions: Floats, times_s: Floats, alignment: Alignment) -> float:
    """Return how many nats the strokes that a clock may move, and some before, lose: no clock can gain more."""
    n_beats = 0.5 * max(SLOWED_BEATS) * (1.0 + max(GROWN)) + STEADY_BEATS
    on = np.flatnonzero(times_s >= times_s[-1] - n_beats * alignment.beat_s)
    cells = alignment.cells[on]
    if (cells == OUTSIDE).any() or (alignment.jumps | alignment.waits)[on].any():
        return float("inf")
    expected = np.diff(times_s[on]) / alignment.beat_s * grid.cells_a_beat
    falls = grid.clock.at(cells / grid.cells_a_beat) * grid.cells_a_beat
    off = (np.diff(falls) - expected) / spread_steps(expected, grid.cells_a_beat)
    short = emissions[on].max(axis=1) - emissions[on, grid.slots[cells]]
    return float(0.5 * (off**2).sum() + (weigh_strokes(times_s)[on] * short).sum() + grid.ending[cells[-1]])


def _slow_clock(times_s: Floats, beat_s: float, n_beats: float, grown: float) -> Floats:
    """Return when strokes would fall if the last beats did not grow longer up to the last stroke."""
    begins_s = float(times_s[-1]) - 0.5 * n_beats * (1.0 + grown) * beat_s
    gone = np.maximum(0.0, (times_s - begins_s) / beat_s)
    growth = (grown - 1.0) / n_beats
    beats = (np.sqrt(1.0 + 2.0 * growth * gone) - 1.0) / growth
    return np.asarray(times_s - beat_s * (gone - beats))


def fit_ritardando(placed: Placed) -> Ritardando | None:
    """Find whether the last strokes fall on a curve, each beat longer than the one before it.

    The very last stroke is left out: it may be held back still more, or come late. What comes before the last tempo
    that was set is not looked at.
    """
    run = placed.runs[-1]
    beats, first = np.unique(run.beats, return_index=True)
    end, (x, y) = float(beats[-1]), (beats[:-1], run.times_s[first][:-1])
    inside = x >= max(end - MOST_SLOWED - 2.0 * STEADY_BEATS, run.clock.steady_from(end) - 1e-6)
    if len(x) < LEAST_STROKES or not inside.any():
        return None
    x, y = x[inside], y[inside]
    starts = np.arange(np.ceil(max(x[0] + STEADY_BEATS, end - MOST_SLOWED)), end - LEAST_SLOWED + 1e-6)
    curves = [(*_fit(x, y, np.maximum(0.0, x - start) ** 2), float(start)) for start in starts]
    if not curves:
        return None
    off, (level_s, beat_s, half_s), start = min(curves, key=lambda one: one[0])
    line, _ = _fit(x, y, np.zeros_like(x))
    others = [_fit(x, y, (x > at - 1e-6).astype(np.float64))[0] for at in x[1:-1]]
    others.append(_fit(x, y, (x - x[0]) ** 2)[0])
    found = Ritardando(run, start, float(beat_s), 2.0 * float(half_s), float(level_s))
    is_curve = LEAST_BETTER * off <= line and 0.5 * LEAST_BETTER * off <= min(others)
    is_near = off <= len(x) * (MOST_OFF * beat_s) ** 2 and (x > start + 1e-6).sum() >= LEAST_SLOWED_STROKES
    return found if is_curve and is_near and found.grows_s * (end - start) >= (LEAST_GROWN - 1.0) * beat_s else None


def _fit(x: Floats, y: Floats, bend: Floats) -> tuple[float, Floats]:
    """Fit a line and so much of a bend; return the squares that are left, and level, slope and bend."""
    columns = np.stack([np.ones_like(x), x, bend], axis=1)
    parts, *_ = np.linalg.lstsq(columns, y, rcond=None)
    return float(((y - columns @ parts) ** 2).sum()), np.asarray(parts)
