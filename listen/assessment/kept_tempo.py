"""Whether a tempo that was set for some bars was not taken: the playing goes on as before."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from listen.assessment.align import align
from listen.assessment.cheapest_way import Alignment
from listen.assessment.heard import HeardMatrix, stroke_scores
from listen.assessment.score_cells import ScoreCells, lay_cells
from listen.assessment.target import Score

KEPT_NATS = 2.0  # by which the tempo that goes on has to explain the strokes better; judged
MOST_TRIED = 8  # stretches; where more were set, all are taken or none


def find_kept_tempo(
    heard: HeardMatrix, score: Score, grid: ScoreCells, alignment: Alignment
) -> tuple[Score, ScoreCells, Alignment]:
    """Find whether one tempo throughout, or one stretch at the tempo before it, explains the strokes better.

    Returns
    -------
    Score
        With the paces that were taken.
    ScoreCells
    Alignment
    """
    best = score, grid, alignment
    if not score.paces or not alignment.beat_s:
        return best
    times_s = np.array([stroke.time_s for stroke in heard.performance.strokes])
    emissions = stroke_scores(heard, score)
    for paces in _list_kept(score):
        laid = replace(score, paces=paces)
        cells = lay_cells(laid)
        found = align(cells, emissions, times_s, tempo_bpm=score.assignment.tempi_bpm[0])
        if found.score > best[2].score + KEPT_NATS:
            best = laid, cells, found
    return best


def _list_kept(score: Score) -> list[tuple[float, ...]]:
    """List the paces of one tempo throughout, and of each stretch but the first at the tempo before it."""
    stretches = score.stretches
    kept: list[tuple[float, ...]] = [()]
    for (before, _), (first, end) in pairwise(stretches):
        if 2 < len(stretches) <= MOST_TRIED:
            paces = score.paces[:first] + (score.paces[before],) * (end - first) + score.paces[end:]
            kept.append(paces if len(set(paces)) > 1 else ())
    return kept
