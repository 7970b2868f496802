"""Whether strokes of the pattern that was set are left out in most bars.

One stroke that was not heard says nothing: soft ones are lost. So it takes places of the bar that stay empty in bar
after bar, more than one of them, and fewer strokes in the bar, so that a stroke that only came elsewhere is not missed.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import lgamma

import numpy as np
from numpy.typing import NDArray

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.judge_chords import Doubted
from listen.assessment.placing import Placed, StrokeRun
from listen.assessment.target import Score
from listen.reading import STEPS_PER_BEAT, Finding, SetStroke, StrokesLeftOut

LEAST_BARS = 4  # fewer that were played through say nothing of a pattern
NEAR_STEP = 2  # twelfths of a beat: a stroke so near to a place of the pattern belongs to it
PLAYED, LEFT_OUT = (4.0, 1.0), (1.0, 12.0)
"""How often a stroke that is played is heard, and how often something is heard where none is, as beta distributions."""
PLACE_NATS, RARE_NATS = 2.5, 3.0
"""What one place can say at most, in nats, and by how much it is likelier that what was set is played. Of 120 students
that play what was set (seeds 2000 to 2119 of `make_homework`, the pattern that they play taken as set) none is told or
asked that strokes are missing; two were, had strokes that came elsewhere not been counted.
Of 120 others, from seed 812000 on: none."""
SOFT_NATS = 2.0  # for upstrokes alone at most: all of them may be too soft for the ear, so that is a question
MOST_ELSEWHERE = (
    0.5  # strokes of a bar off the pattern, in share of those that are missing: so many were moved, not left out
)


def judge_pattern(placed: Placed, score: Score) -> Doubted | None:
    """Judge whether strokes are left out in most bars; None where no pattern was set or too few bars were played."""
    wanted = [one for one in score.assignment.pattern if not one.is_muted]
    bars = _list_bars(placed, score) if wanted else []
    if len(bars) < LEAST_BARS:
        return None
    filled, elsewhere = _fill(placed, score, bars, wanted)
    nats = np.minimum(_weigh(filled.sum(axis=0), len(bars)), PLACE_NATS)
    gone = np.flatnonzero(nats > 0.0)
    if not len(gone) or elsewhere >= MOST_ELSEWHERE * len(gone):
        return None
    total = float(nats[gone].sum()) - RARE_NATS
    ways = {wanted[at].direction for at in gone}
    way = ways.pop() if len(ways) == 1 else None
    doubt = Grounds("pattern", min(total, SOFT_NATS) if way == "up" else total, len(bars))
    counted = STEPS_PER_BEAT // 3 if score.assignment.is_compound else STEPS_PER_BEAT
    measure = StrokesLeftOut(
        tuple(1.0 + wanted[at].step / counted for at in gone), way, int((~filled[:, gone]).sum(axis=0).min()), len(bars)
    )
    first = score.bar_number(bars[0])
    start_s = max(0.0, placed.runs[placed.visits[bars[0]]].time_at(score.bars[bars[0]]))
    return Doubted(Finding("pattern", first, 1.0, start_s, probability=calibrate(doubt), measure=measure), doubt)


def _list_bars(placed: Placed, score: Score) -> list[int]:
    """Return the whole bars with chords that were played through; the one that a run ends in may be a last strum."""
    silent = {one.place for one in score.slots if not score.targets[one.target].is_judged}
    return [
        place
        for place, number in sorted(placed.visits.items())
        if place not in silent and _goes_through(placed.runs[number], score, place)
    ]


def _goes_through(run: StrokeRun, score: Score, place: int) -> bool:
    start, end = score.bars[place], score.bars[place + 1]
    is_whole = round((end - start) * STEPS_PER_BEAT) == score.assignment.steps_per_bar
    return is_whole and bool(run.beats[0] < start + 1.0) and bool(run.beats[-1] > end - 1e-6)


def _fill(
    placed: Placed, score: Score, bars: Sequence[int], wanted: Sequence[SetStroke]
) -> tuple[NDArray[np.bool_], float]:
    """Return in which bars each place has a stroke, shape (n_bars, n), and how many strokes of a bar lie elsewhere."""
    steps = np.array([one.step for one in wanted])
    muted = [one.step for one in score.assignment.pattern if one.is_muted]
    filled = np.zeros((len(bars), len(wanted)), bool)
    n_elsewhere = 0
    for row, place in enumerate(bars):
        own = placed.runs[placed.visits[place]].beats - score.bars[place]
        for at in own[(own > -NEAR_STEP / STEPS_PER_BEAT) & (own < score.assignment.beats_per_bar)] * STEPS_PER_BEAT:
            near = int(np.abs(steps - at).argmin())
            if abs(steps[near] - at) <= NEAR_STEP:
                filled[row, near] = True
            elif at >= 0 and all(abs(one - at) > NEAR_STEP for one in muted):
                n_elsewhere += 1
    return filled, n_elsewhere / len(bars)


def _weigh(heard: NDArray[np.int_], n: int) -> NDArray[np.float64]:
    """Return by how many nats each place is likelier left out than played, heard so often in n bars."""

    def log_beta(a: float, b: float) -> float:  # scipy's would make every command wait a quarter of a second for it
        return lgamma(a) + lgamma(b) - lgamma(a + b)

    def log_chance(a: float, b: float) -> NDArray[np.float64]:  # beta-binomial, the same coefficient left out
        return np.array([log_beta(h + a, n - h + b) for h in heard.tolist()]) - log_beta(a, b)

    return log_chance(*LEFT_OUT) - log_chance(*PLAYED)
