"""Sums and probabilities of log-odds, in numpy alone: importing SciPy for them costs a cold start more than a strum.

Conventions: natural logarithms.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

MOST_NATS = 60.0  # beyond it a probability is 0 or 1 in double precision


def logistic(log_odds: npt.ArrayLike) -> Floats:
    """Return the probability of log-odds, element by element.

    Examples
    --------
    >>> logistic([0.0, 1000.0]).tolist()
    [0.5, 1.0]
    """
    clipped = np.clip(np.asarray(log_odds, np.float64), -MOST_NATS, MOST_NATS)
    return np.asarray(1.0 / (1.0 + np.exp(-clipped)))


def log_sum_exp(values: npt.ArrayLike, *, axis: int | None = None) -> Any:
    """Return the logarithm of the sum of exponentials, along an axis or of all; -inf of nothing.

    Examples
    --------
    >>> round(float(log_sum_exp([1000.0, 1000.0])), 3), float(log_sum_exp([]))
    (1000.693, -inf)
    """
    values = np.asarray(values, np.float64)
    highest = values.max(axis=axis, keepdims=True, initial=-np.inf)
    highest = np.where(np.isfinite(highest), highest, 0.0)
    with np.errstate(divide="ignore"):
        summed = np.log(np.exp(values - highest).sum(axis=axis, keepdims=True)) + highest
    return summed.squeeze() if axis is None else summed.squeeze(axis=axis)


def log_odds_of_classes(logits: npt.ArrayLike) -> Floats:
    """Turn softmax logits, shape (n,), into the log-odds of each class against all others together.

    Examples
    --------
    >>> log_odds_of_classes([0.0, 0.0]).tolist()
    [0.0, 0.0]
    """
    logits = np.asarray(logits, np.float64)
    others = np.where(np.eye(len(logits), dtype=bool), -np.inf, logits[None, :])
    return np.asarray(logits - log_sum_exp(others, axis=1))
