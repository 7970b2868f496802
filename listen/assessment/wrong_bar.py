"""Whether bars seem left out only because one of them is always played as another chord: a chart may be wrong."""

from __future__ import annotations

import numpy as np

from listen.assessment.align import JUMP_SHARE, align, weigh_jumps
from listen.assessment.cheapest_way import OUTSIDE, Alignment
from listen.assessment.heard import FITS, HeardMatrix, stroke_scores
from listen.assessment.score_cells import ScoreCells
from listen.assessment.target import Score

MOST_TRIED = 8  # bars; so many left out are hardly one wrong chord


def find_wrong_bar(heard: HeardMatrix, score: Score, grid: ScoreCells, alignment: Alignment) -> Alignment:
    """Align anew with any chord in one of the bars left out, where that explains more than a wrong bar costs.

    Who plays a bar again and again plays the same chord in it: it costs as a wrong bar once, however often it comes.
    """
    missing = _find_missing(score, grid, alignment)
    if not alignment.beat_s or not 0 < len(missing) <= MOST_TRIED:
        return alignment
    times_s = np.array([stroke.time_s for stroke in heard.performance.strokes])
    emissions = stroke_scores(heard, score)
    has_pitch = emissions.any(axis=1)
    best, most = alignment, alignment.score
    for place in missing:
        anything = emissions.copy()
        own = np.array([slot.place == place for slot in score.slots])
        anything[np.ix_(has_pitch, own)] = FITS
        found = align(grid, anything, times_s, tempo_bpm=score.tempo_bpm)
        cost = float(weigh_jumps(grid, times_s, np.array([found.beat_s]))[0]) / JUMP_SHARE
        if found.score - cost > most:
            best, most = found, found.score - cost
    return best


def _find_missing(score: Score, grid: ScoreCells, alignment: Alignment) -> list[int]:
    """Return the bars with chords of their own that a jump, or a start elsewhere than at the beginning, left out."""
    inside = np.flatnonzero(alignment.cells != OUTSIDE)
    if not len(inside) or (alignment.jumps.sum() <= 1 and alignment.cells[inside[0]] == 0):
        return []
    played = {score.slots[at].place for at in grid.slots[alignment.cells[inside]].tolist()}
    return [
        place for place, bar in enumerate(score.assignment.bars[: max(played)]) if bar.changes and place not in played
    ]
