"""Which strokes are the late strings of a slow strum: told by how a recording's strokes follow each other.

A strum that is drawn over a third of a second sounds in two or three steps, each of which rises like a stroke. Alone
none can be told from an upstroke on the upper strings. But what a player does comes back: strokes that follow each
other so soon come in rows of even distances, while late strings come some time after a stroke, now at this distance,
now at that, and then nothing comes for long. How often a stroke so soon after another is one of its own is learnt
from the recording (expectation-maximisation of a share, which differs from that of the recordings the weights are
from).

Conventions: levels of whitened bands in dB, a frame every 5 ms.

References
----------
M. Saerens, P. Latinne, C. Decaestecker, "Adjusting the outputs of a classifier to new a priori probabilities", Neural
Computation 14(1), 2002.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.audio.stroke_judge import FRAMES_A_SECOND, MOST_JUMP_DB, Floats, Rise, measure_before, measure_peak
from listen.audio.stroke_pulse import NEAR_S, weigh_row
from listen.log_odds import logistic

LATEST_S = 0.36  # after the stroke before: what comes later is a stroke
USUAL_S = 0.2
MOST_NATS, MOST_ROW, LEAST_GAIN_DB, MOST_GAIN_DB, LEAST_TOLD, MOST_TOLD = 1.5, 3.0, -10.0, 15.0, -2.0, 12.0
BIAS, JUMP_WEIGHT, ODDS_WEIGHTS, GAIN_WEIGHT = -2.85, 1.43, (-0.52, 0.042), -0.014
ROW_WEIGHTS, ROW_AT_DISTANCE = (0.70, 0.14), -0.74
NEXT_WEIGHT, UNLIKE_NEXT_WEIGHT, DISTANCE_WEIGHT, GAIN_AT_DISTANCE = 1.80, -1.16, 0.80, 0.23
"""By logistic regression on 6,152 rises that follow another within .36 s: 84 parts as people play them and 72 rendered
ones, of seeds that no benchmark uses, and the ten takes; the script is not kept. On parts of recorded strums, which
were not used for it, strokes go from F .857 to .916 at ±50 ms (`tests/benchmarks/joined_strums.py`)."""
SHARE = 0.84  # of those that are strokes of their own
FEW, MOST_LEARNT, ROUNDS = 2.0, 1.0, 4  # strokes that count beforehand; log-odds; judged
SURELY_LATE = 0.93  # what is less sure is settled by the time that the hand keeps


def weigh_late_strings(
    strokes: Sequence[Rise], level_db: Floats, gains_db: Sequence[float], are_hits: Sequence[bool]
) -> list[float]:
    """Weigh each stroke as the late strings of the one before.

    Parameters
    ----------
    strokes : sequence of Rise
        In time order.
    level_db : ndarray, shape (n_frames, n_bands)
        Whitened.
    gains_db : sequence of float
        What each stroke leaves sounding, against just before it.
    are_hits : sequence of bool
        Which strokes are damped, or knocks: those have no late strings, and are none.

    Returns
    -------
    list of float
        Probabilities; from :data:`SURELY_LATE` on it is no stroke, and the next is held against the one before it.
    """
    starts_s = np.array([rise.start for rise in strokes]) / FRAMES_A_SECOND
    near = [
        place
        for place in range(1, len(strokes))
        if starts_s[place] - starts_s[place - 1] < LATEST_S and not (are_hits[place - 1] or are_hits[place])
    ]
    odds = np.array([_weigh(strokes, place, starts_s, level_db, gains_db[place]) for place in near])
    learnt = 0.0
    for _ in range(ROUNDS):
        own = float(logistic(odds + learnt).sum())
        share = (FEW * SHARE + own) / (FEW + len(near))
        learnt = float(
            np.clip(np.log(share / (1.0 - share)) - np.log(SHARE / (1.0 - SHARE)), -MOST_LEARNT, MOST_LEARNT)
        )
    late = dict(zip(near, logistic(-odds - learnt).tolist(), strict=True))
    chances: list[float] = []
    last_strength = np.inf
    for place, rise in enumerate(strokes):
        is_stronger = rise.strength > last_strength  # as a strum after a syllable is
        chances.append(0.0 if is_stronger else late.get(place, 0.0))
        if chances[-1] < SURELY_LATE:
            last_strength = rise.strength
    return chances


def _weigh(
    strokes: Sequence[Rise],
    place: int,
    starts_s: NDArray[np.float64],
    level_db: Floats,
    gain_db: float,
) -> float:
    """Weigh whether a stroke soon after another is one of its own, in log-odds."""
    rise, at_s = strokes[place], starts_s[place]
    gap_s = at_s - starts_s[place - 1]
    distance = float(np.log(gap_s / USUAL_S))
    then_s = starts_s[place + 1] - at_s if place + 1 < len(strokes) else np.inf
    later = float(np.clip(np.log(then_s / gap_s), -MOST_NATS, MOST_NATS))
    first, last = np.searchsorted(starts_s, [at_s - NEAR_S, at_s + NEAR_S])
    row = float(np.clip(weigh_row(np.diff(starts_s[first:last]) / gap_s), -MOST_ROW, MOST_ROW))
    jumps = measure_peak(level_db, rise.start) - measure_before(level_db, rise.start)
    jump = float(np.clip(jumps, 0.0, MOST_JUMP_DB).mean())
    gain = float(np.clip(gain_db, LEAST_GAIN_DB, MOST_GAIN_DB))
    odds = float(np.clip(rise.odds, LEAST_TOLD, MOST_TOLD))
    said = BIAS + JUMP_WEIGHT * jump + ODDS_WEIGHTS[0] * odds + ODDS_WEIGHTS[1] * odds**2
    said += ROW_WEIGHTS[0] * row + ROW_WEIGHTS[1] * row**2 + ROW_AT_DISTANCE * distance * row
    said += NEXT_WEIGHT * later + UNLIKE_NEXT_WEIGHT * abs(later) + DISTANCE_WEIGHT * distance
    return said + GAIN_WEIGHT * gain**2 + GAIN_AT_DISTANCE * distance * gain
