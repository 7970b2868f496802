"""Where a chord gives way to the next in free time, when what comes is not what was set."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from listen.assessment.cheapest_way import OUTSIDE, Alignment
from listen.assessment.heard import HeardMatrix, stroke_scores
from listen.assessment.score_cells import ScoreCells
from listen.assessment.target import Score


def settle_free_changes(heard: HeardMatrix, score: Score, grid: ScoreCells, alignment: Alignment) -> Alignment:
    """Move strokes on a wrong chord from the end of the chord before it to its own place.

    They fit neither, and without a count nothing else says where the change is: so they belong where they sound alike.
    """
    if not grid.is_free:
        return alignment
    cells, fits = alignment.cells.copy(), stroke_scores(heard, score)
    inside = np.flatnonzero(cells != OUTSIDE)
    parts = np.split(inside, np.flatnonzero(np.diff(cells[inside])) + 1)
    sounds = [stroke.sound for stroke in heard.performance.strokes]
    for before, after in pairwise(parts):
        good = np.flatnonzero(fits[before, grid.slots[cells[before]]] > 0.0)
        if not len(good) or cells[after[0]] != cells[before[0]] + 1:
            continue
        own, other = (heard.odds[[sounds[at] for at in some]].mean(axis=0) for some in (before[good], after))
        for at in before[: good[-1] : -1].tolist():
            odds = heard.odds[sounds[at]]
            if _correlate(odds, other) <= _correlate(odds, own):
                break
            cells[at] = cells[after[0]]
    return replace(alignment, cells=cells)


def _correlate(odds: NDArray[np.float64], other: NDArray[np.float64]) -> float:
    """Return Pearson's correlation; 0 where one of them says the same of every pitch, as of a damped stroke."""
    own, against = odds - odds.mean(), other - other.mean()
    size = float(np.linalg.norm(own) * np.linalg.norm(against))
    return float(own @ against) / size if size > 0.0 else 0.0
