"""Whether the hand goes the way that was set, by all strokes at each place of the bar together.

One stroke tells its way badly, and how far strokes lean at all is a matter of the guitar and the recording: so ways of
the whole bar are held against one another, each with any lean that the recording may have of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.judge_chords import Doubted
from listen.assessment.placing import Placed
from listen.assessment.slots import PlayedSlot
from listen.evidence import Direction
from listen.log_odds import log_sum_exp
from listen.reading import STEPS_PER_BEAT, Assignment, Finding, Performance, PerformedStroke, WayKept

Floats = NDArray[np.float64]

LEAST_STROKES = 12  # fewer say nothing of the hand
LEAST_TURNED = 3  # of one stroke of the bar, to be named; judged
QUARTER = STEPS_PER_BEAT // 4  # what has a name in counting
SURELY_ONLY = 0.9  # that all strokes go one way, and none of them the other; judged
NEAR_STEP = 2  # twelfths of a beat: a stroke so near belongs to a stroke of the pattern


class Leaning(NamedTuple):
    """How strokes of a recording lean the way they go, in log-odds: how far, and standard deviations around it.

    Parameters
    ----------
    chance : float
        That those of a recording lean so.
    lean : float
    own, place, stroke : float
        How far a whole recording lies off, a place of the bar, and one stroke.
    """

    chance: float
    lean: float
    own: float
    place: float
    stroke: float


LEANINGS = (Leaning(0.83, 2.0, 1.2, 0.5, 1.5), Leaning(0.15, 0.5, 0.3, 0.3, 0.9), Leaning(0.02, 0.0, 1.5, 0.5, 0.9))
"""Where strokes are told well, where they are told badly, and where they lean alike whatever their way; judged.

The first was chosen on twelve takes of one chart that one synthesiser played on three guitars, by the leans of the
stroke network: the three as set are not asked about, of three that only go down and three the other way round all are,
of three that only go up two. No take was kept apart from the choice, and no person's hand has been counted. The second
holds for the weaker leans that came before the network: chosen then on `make_homework` from seed 700000 on, five
patterns; it keeps a recording of which little can be told from being held against strong leans."""
MOST_LEAN = 3.0  # of one stroke: none outvotes a place
OTHER_NATS, MOST_OTHERS = 3.0, 4
"""What is set is played in most bars: nats against each stroke of the bar that goes the other way, up to so many, and
against a hand that goes only down, only up, or all the other way round; judged."""


def judge_way(
    played: Sequence[PlayedSlot], placed: Placed, performance: Performance, assignment: Assignment, share: float
) -> Doubted | None:
    """Judge whether at least a share of the strokes goes the way that was set; None where too few can be told.

    What it finds is the likeliest of the ways that go as set in fewer strokes.
    """
    wanted = {one.step: 1.0 if one.direction == "down" else -1.0 for one in assignment.pattern if one.direction}
    strokes = _place_strokes(played, placed, performance, wanted)
    leans = {step: [one.lean for one in own] for step, own in strokes.items()}
    steps = sorted(leans)
    counts = np.array([len(leans[step]) for step in steps], np.float64)
    if counts.sum() < LEAST_STROKES:
        return None
    signs = np.array([wanted[step] for step in steps])
    means = np.array([np.clip(leans[step], -MOST_LEAN, MOST_LEAN).mean() for step in steps])
    ways, costs = _list_ways(signs)
    nats = _weigh_ways(ways, means, counts) - costs
    kept = (ways == signs) @ counts / counts.sum()
    less = kept < share
    if not less.any():
        return None
    doubt = Grounds("way", float(log_sum_exp(nats[less]) - log_sum_exp(nats[~less])), int(counts.sum()))
    likeliest = int(np.where(less, nats, -np.inf).argmax())
    is_turned = (ways[likeliest] != signs) & (counts >= LEAST_TURNED)
    turned = [step for _, step in sorted(zip((means * signs)[is_turned], np.array(steps)[is_turned], strict=True))]
    has_name = bool(turned) and not assignment.is_compound and turned[0] % QUARTER == 0
    beat = 1.0 + float(turned[0]) / STEPS_PER_BEAT if has_name else None
    only = _find_only(ways[likeliest], means, counts)
    measure = WayKept(round(100 * float(kept[likeliest])), None if only else beat, only)
    first_s = min(own[0].time_s for own in strokes.values())
    finding = Finding("way", played[0].slot.bar, 1.0, first_s, probability=calibrate(doubt), measure=measure)
    return Doubted(finding, doubt)


def _find_only(way: Floats, means: Floats, counts: Floats) -> Direction | None:
    """Return the one way that all strokes go; None where they go both, or one of them may as well go the other."""
    if len(set(way.tolist())) > 1:
        return None
    others = way * (1.0 - 2.0 * np.eye(len(way)))
    nats = _weigh_ways(np.vstack([way, others]), means, counts)
    is_sure = float(nats[0] - log_sum_exp(nats)) >= np.log(SURELY_ONLY)
    return ("down" if way[0] > 0 else "up") if is_sure else None


def _place_strokes(
    played: Sequence[PlayedSlot], placed: Placed, performance: Performance, steps: Collection[int]
) -> dict[int, list[PerformedStroke]]:
    """Return the strokes at each step of the bar; those without pitch tell no way."""
    found: dict[int, list[PerformedStroke]] = {}
    for one in played:
        for stroke in one.strokes:
            step = round((placed.beat_of(stroke) - one.slot.start + one.slot.beat - 1.0) * STEPS_PER_BEAT)
            near = min(steps, key=lambda each: abs(each - step), default=None)
            if near is not None and abs(near - step) <= NEAR_STEP and not performance.strokes[stroke].is_hit:
                found.setdefault(near, []).append(performance.strokes[stroke])
    return found


def _weigh_ways(ways: Floats, means: Floats, counts: Floats) -> Floats:
    """Return how likely the mean lean at each place of the bar is under each way, in nats."""
    leaning = [
        np.log(one.chance)
        + _log_normal(means - one.lean * ways, np.diag(one.place**2 + one.stroke**2 / counts) + one.own**2)
        for one in LEANINGS
    ]
    return np.asarray(np.logaddexp.reduce(leaning))


def _log_normal(off: Floats, spread: Floats) -> Floats:
    """Return the log-density of rows off their mean under a covariance, the same constant left out."""
    _, log_volume = np.linalg.slogdet(spread)
    return np.asarray(-0.5 * (np.einsum("wi,ij,wj->w", off, np.linalg.inv(spread), off) + log_volume))


def _list_ways(signs: Floats) -> tuple[Floats, Floats]:
    """List ways of the bar's strokes, 1 down and -1 up, shape (n_ways, n), and what each costs, in nats."""
    n = len(signs)
    some = [turned for k in range(1, MOST_OTHERS + 1) for turned in combinations(range(n), k)]
    others = [[-sign if at in turned else sign for at, sign in enumerate(signs)] for turned in some]
    ways = np.array([signs, np.ones(n), -np.ones(n), -signs, *others])
    costs = OTHER_NATS * np.array([0, 1, 1, 1, *map(len, some)], np.float64)
    ways, first = np.unique(ways, axis=0, return_index=True)  # of two that are the same the first, which costs less
    return ways, costs[first]
