"""Which strokes pick a string or two, and which strum, told again when the whole part has been heard.

The ear judges each stretch by how many of its pitches rise. With the part at hand there is more to go by: a hand that
picks goes on picking, few pitches sound at one of its strokes, the third of them, by how much it rises, does not rise
but rings on, and it has no way, which several strings struck one after another have.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.evidence import PartEvidence, Stretch
from listen.log_odds import logistic

Floats = NDArray[np.float64]

BIAS, WAS_PICKED, NEIGHBOURS, EACH_RISING, EACH_MEASURED, EACH_SOUNDING, THIRD_RISE, EACH_LEAN = (
    2.45, 0.53, 9.97, -0.08, 0.49, -1.55, -0.20, -0.99
)  # fmt: skip
"""Log-odds that at most two strings were picked: by logistic regression on 8,251 strokes of 140 parts
(`tests/benchmarks/people.py`). Fitted and tried on different parts, of picked strokes .930 are told as such, of strums
.017."""
NEAR = 6  # stretches on either side
SURE_LEAN = 2.5  # what goes surely down or up is no neighbour: two strings struck together in a row are power chords
MOST_RISE_DB = 6.0  # no rise says more, up or down


def tell_picked(heard: PartEvidence) -> PartEvidence:
    """Tell again which strokes are picked.

    Parameters
    ----------
    heard : PartEvidence

    Returns
    -------
    PartEvidence
        Stretches of several strokes stay as they are.
    """
    chances = weigh_picked(heard)
    stretches = tuple(
        replace(one, is_picked=bool(chance > 0.5)) if one.first == one.last else one
        for one, chance in zip(heard.stretches, chances.tolist(), strict=True)
    )
    return replace(heard, stretches=stretches)


def weigh_picked(heard: PartEvidence) -> Floats:
    """Weigh, for each stretch, that its stroke picked two strings at most; shape (n_stretches,), probability."""
    picked = np.array([one.is_picked for one in heard.stretches], float)
    sure = np.array([abs(heard.strokes[one.first].lean) > SURE_LEAN for one in heard.stretches])
    near = np.array([_mean_around(picked * ~sure, place) for place in range(len(picked))])
    said = np.array([_weigh(heard, one) for one in heard.stretches])
    return logistic(said + WAS_PICKED * picked + NEIGHBOURS * near)


def _mean_around(values: Floats, place: int) -> float:
    """Return the mean over the neighbours of a place, itself left out; 0 without any."""
    around = np.concatenate([values[max(0, place - NEAR) : place], values[place + 1 : place + NEAR + 1]])
    return float(around.mean()) if len(around) else 0.0


def _weigh(heard: PartEvidence, stretch: Stretch) -> float:
    """Return what a stroke says by itself, in nats."""
    rises = sorted(heard.strokes[stretch.first].rises.values(), reverse=True)
    third_db = float(np.clip(rises[2], -MOST_RISE_DB, MOST_RISE_DB)) if len(rises) > 2 else -MOST_RISE_DB
    n_rising = sum(rise > 0.0 for rise in rises)
    told = EACH_RISING * n_rising + EACH_MEASURED * len(rises) + THIRD_RISE * third_db
    told += EACH_LEAN * abs(heard.strokes[stretch.first].lean)
    return BIAS + told + EACH_SOUNDING * len(stretch.sounding)
