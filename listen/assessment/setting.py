"""Whether everything was played higher or lower than set: without the capo, with it elsewhere, or tuned down."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from listen.assessment.align import align
from listen.assessment.cheapest_way import Alignment
from listen.assessment.heard import FITS_NOT, HeardMatrix, stroke_scores
from listen.assessment.score_cells import ScoreCells
from listen.assessment.target import Score

SHIFTS = tuple(range(-7, 8))
MOST_TRIED = 3
LEAST_CHORDS, LEAST_ROW = 3, 4
"""Different chords, or else chords one after another, that were set: of fewer, another chord and the same one moved
cannot be told apart. A song of two chords has a row of them."""
SHIFT_COST = 8.0  # nats by which another setting has to explain the strokes better
FAR_COST = 4.0  # nats more beyond FAR semitones: nobody moves a capo so far by mistake; judged
FAR = 5


def find_setting(
    heard: HeardMatrix, score: Score, grid: ScoreCells, *, tries_others: bool = True
) -> tuple[HeardMatrix, Alignment, float]:
    """Find by how many semitones all sounds lie off what was set, and align them.

    Parameters
    ----------
    heard : HeardMatrix
    score : Score
    grid : ScoreCells
    tries_others : bool
        Whether settings other than the one that was set are tried.

    Returns
    -------
    HeardMatrix
        Moved.
    Alignment
    float
        By how many nats it is better than to take the setting as it was set; 0 where it is.
    """
    times_s = np.array([stroke.time_s for stroke in heard.performance.strokes])
    tempo = score.tempo_bpm
    promising = {shift: _best_fits(heard.moved(shift), score) for shift in SHIFTS}
    order = sorted(SHIFTS, key=lambda shift: (-promising[shift], abs(shift)))[:MOST_TRIED]
    if not tries_others or not _has_row(score):
        order = []
    tried = {0: align(grid, stroke_scores(heard, score), times_s, tempo_bpm=tempo)}
    for shift in order:
        if shift and promising[shift] > promising[0] + SHIFT_COST:
            moved = stroke_scores(heard.moved(shift), score)
            tried[shift] = align(grid, moved, times_s, tempo_bpm=tempo)

    def value(shift: int) -> float:
        return tried[shift].score - (SHIFT_COST + FAR_COST * (abs(shift) > FAR) if shift else 0.0)

    best = max(tried, key=lambda shift: (value(shift), -abs(shift)))
    return heard.moved(best), tried[best], tried[best].score - tried[0].score


def _has_row(score: Score) -> bool:
    """Whether enough chords were set to tell a song that is moved from another one."""
    row = [own.classes for slot in score.slots if (own := score.targets[slot.target]).is_judged]
    n_changes = sum(after != before for before, after in pairwise(row))
    return len(set(row)) >= LEAST_CHORDS or n_changes + 1 >= LEAST_ROW


def _best_fits(heard: HeardMatrix, score: Score) -> float:
    """Return how well the sounds fit whichever chord of the score they fit best, weighed by their strokes."""
    fits = heard.fit(score)[:, [target.is_judged for target in score.targets]]
    if not fits.size:
        return FITS_NOT
    best = fits.max(axis=1)
    counts = np.zeros(len(best))
    for stroke in heard.performance.strokes:
        if stroke.sound >= 0:
            counts[stroke.sound] += 1
    return float(best @ counts)
