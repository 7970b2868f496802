"""Alignment of a tempo that drifts: once more, by a clock that goes as the student does."""

from __future__ import annotations

import numpy as np

from listen.assessment.align import align
from listen.assessment.cheapest_way import Alignment
from listen.assessment.heard import HeardMatrix, stroke_scores
from listen.assessment.judge_tempo import measure_bars
from listen.assessment.placing import find_rounds
from listen.assessment.score_cells import ScoreCells
from listen.assessment.target import Score

DRIFT_NATS = 2.0  # by which the other clock has to explain the strokes better; judged
LEAST_BARS = 4  # fewer tell no drift


def follow_drift(heard: HeardMatrix, score: Score, grid: ScoreCells, alignment: Alignment) -> Alignment:
    """Align anew at the tempo of each bar, held against the one that was set there, where that explains more.

    At one tempo for all a student who rushes from 96 to 160 loses the bars at either end in which no chord changes.
    """
    times_s = np.array([stroke.time_s for stroke in heard.performance.strokes])
    rounds = find_rounds(score, grid, alignment, times_s)
    if not alignment.beat_s or len(rounds) != 1:
        return alignment
    placed = rounds[0]
    places, bpm = measure_bars(placed, score)
    if len(places) < LEAST_BARS:
        return alignment
    middles = [(int(place), 0.5 * (score.bars[int(place)] + score.bars[int(place) + 1])) for place in places]
    at_s = np.array([placed.run_at(place, middle).time_at(middle) for place, middle in middles])
    order = np.argsort(at_s)
    if score.paces:
        bpm = bpm / np.array(score.paces)[places.astype(np.int64)]
    speed = np.interp(times_s, at_s[order], bpm[order]) / np.median(bpm)
    clock = times_s[0] + np.concatenate([[0.0], np.cumsum(np.diff(times_s) * 0.5 * (speed[1:] + speed[:-1]))])
    found = align(grid, stroke_scores(heard, score), clock, tempo_bpm=score.tempo_bpm)
    return found if found.score > alignment.score + DRIFT_NATS else alignment
