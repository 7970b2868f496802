"""Whether every bar was played with a beat too many: a waltz strummed in four."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.assessment.align import align
from listen.assessment.cheapest_way import Alignment
from listen.assessment.heard import HeardMatrix, stroke_scores
from listen.assessment.score_cells import ScoreCells, lay_cells
from listen.assessment.target import Score, lay_out_score

METRE_COST = 8.0  # nats by which other bars have to explain the strokes better; judged
LEAST_JUMPS = 2  # with fewer the bars fit as they were set; a stop fills no beat with strokes
SAME_TEMPO = 1.1  # within which the tempo stays: bars of two slow beats are bars of four


def find_longer_bars(
    heard: HeardMatrix, score: Score, grid: ScoreCells, alignment: Alignment
) -> tuple[Score, ScoreCells, Alignment]:
    """Find whether bars of a beat more explain the strokes better, with fewer jumps, and lay out the score in them.

    Returns
    -------
    Score
        As it was set, where that does.
    ScoreCells
    Alignment
    """
    own = score.assignment
    longer = replace(own, signature=(own.beats_per_bar + 1, own.signature[1]))
    if own.is_free or own.is_compound or longer.is_compound or int(alignment.jumps[1:].sum()) < LEAST_JUMPS:
        return score, grid, alignment
    times_s = np.array([stroke.time_s for stroke in heard.performance.strokes])
    laid = replace(lay_out_score(longer), paces=score.paces, begins=score.begins)
    cells = lay_cells(laid)
    found = align(cells, stroke_scores(heard, laid), times_s, tempo_bpm=score.tempo_bpm)
    is_same = 1.0 / SAME_TEMPO < found.beat_s / alignment.beat_s < SAME_TEMPO
    goes_on = found.jumps[1:].sum() < alignment.jumps[1:].sum()
    if is_same and goes_on and found.score > alignment.score + METRE_COST:
        return laid, cells, found
    return score, grid, alignment
