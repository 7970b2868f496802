"""Where the tempi that were set are taken: another one may not be, or bars too soon or too late."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from listen.assessment.align import align
from listen.assessment.cheapest_way import Alignment
from listen.assessment.heard import HeardMatrix, stroke_scores
from listen.assessment.score_cells import ScoreCells, lay_cells
from listen.assessment.target import Score

KEPT_NATS = 2.0  # by which the tempo that goes on has to explain the strokes better; judged
MOVED_NATS, FARTHER_NATS = 1.0, 0.5
"""By which a change at another bar has to, and for each bar that it is farther off: most are one bar off. Of 25 charts
of two tempi, strummed unevenly by chance, none in which the change was made as set gains more than -0.3 so; of 50 that
made it a bar too soon or too late 43 gain more than 1.5, and 32 more than 3: where beats grow shorter, a bar at the old
ones looks like a stop, which costs no more. Who gets faster all the time gains by a change far off."""
MOST_MOVED = 4  # bars: who is further off has not taken the tempo
MOST_TRIED = 8  # stretches; where more were set, all are taken as they were set, or none


def find_taken_tempi(
    heard: HeardMatrix, score: Score, grid: ScoreCells, alignment: Alignment
) -> tuple[Score, ScoreCells, Alignment]:
    """Find whether strokes are explained better by one tempo throughout, one not taken, or one taken at another bar.

    Returns
    -------
    Score
        With the paces that were taken, and where.
    ScoreCells
    Alignment
    """
    best, least = (score, grid, alignment), alignment.score
    if not score.paces or not alignment.beat_s:
        return best
    times_s = np.array([stroke.time_s for stroke in heard.performance.strokes])
    emissions = stroke_scores(heard, score)

    def try_out(laid: Score, nats: float, *, near_s: float | None = None) -> None:
        nonlocal best, least
        cells = lay_cells(laid)
        found = align(cells, emissions, times_s, tempo_bpm=score.tempo_bpm, near_s=near_s)
        if found.score - nats > least:
            best, least = (laid, cells, found), found.score - nats

    for laid in _list_kept(score):
        try_out(laid, KEPT_NATS)
    if len(score.stretches) <= MOST_TRIED:
        for at in range(1, len(score.stretches)):
            paid = best[2].score - least
            for laid in _list_moved(score, best[0], at):
                n_bars = abs(laid.begins[at] - score.set_begins[at])
                try_out(laid, paid + MOVED_NATS + FARTHER_NATS * n_bars, near_s=best[2].beat_s)
    return best


def _list_kept(score: Score) -> Iterator[Score]:
    """List one tempo throughout, and each stretch but the first at the tempo before it."""
    yield replace(score, paces=())
    if 2 < len(score.stretches) <= MOST_TRIED:
        for at in range(1, len(score.stretches)):
            first, end = score.stretches[at]
            paces = score.paces[:first] + (score.paces[first - 1],) * (end - first) + score.paces[end:]
            yield replace(score, paces=paces if len(set(paces)) > 1 else ())


def _list_moved(score: Score, taken: Score, at: int) -> Iterator[Score]:
    """List a stretch that begins at another bar near the one that was set, the others as they are taken."""
    (before, first), (_, end) = taken.stretches[at - 1 : at + 1]
    own, pace = taken.paces or (1.0,) * len(score.paces), score.paces[first]
    for begin in range(max(before + 1, first - MOST_MOVED), min(end, first + MOST_MOVED + 1)):
        if begin != first:
            begins = [begin if number == at else each for number, (each, _) in enumerate(taken.stretches)]
            paces = own[:before] + (own[before],) * (begin - before) + (pace,) * (end - begin) + own[end:]
            yield replace(taken, paces=paces, begins=tuple(begins))
