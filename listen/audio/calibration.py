"""Calibration: an ear's logits made into log-odds that can be believed.

A network that was trained on simulated strums is surer of real ones than it should be. A straight line through its
logits, fitted on strums that its weights never saw, puts that right (Platt scaling; with a slope only it is known as
temperature scaling). The constants are printed by ``python -m tests.benchmarks.calibrate_pitch``.

References
----------
J. Platt, "Probabilistic outputs for support vector machines", Advances in Large Margin Classifiers, 1999.
C. Guo, G. Pleiss, Y. Sun, K. Q. Weinberger, "On calibration of modern neural networks", ICML 2017.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.log_odds import logistic


@dataclass(frozen=True, slots=True)
class Calibration:
    """A straight line from a network's logits to log-odds.

    Parameters
    ----------
    slope, shift : float
        Log-odds are ``slope * logit + shift``.

    Examples
    --------
    >>> Calibration(slope=0.5, shift=-0.25).apply(np.array([4.0, -4.0])).tolist()
    [1.75, -2.25]
    """

    slope: float = 1.0
    shift: float = 0.0

    def apply(self, logits: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return the log-odds."""
        return np.asarray(self.slope * logits + self.shift, np.float64)

    def undo(self, log_odds: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return the logits that gave these log-odds."""
        return np.asarray((log_odds - self.shift) / self.slope, np.float64)


def fit_calibration(
    logits: NDArray[np.floating], is_true: NDArray[np.bool_], *, with_shift: bool = True
) -> Calibration:
    """Fit a calibration by maximum likelihood (Newton's method).

    Parameters
    ----------
    logits : ndarray, shape (n,)
    is_true : ndarray of bool, shape (n,)
    with_shift : bool
        Whether the line may miss the origin.

    Examples
    --------
    >>> rng = np.random.default_rng(0)
    >>> log_odds = rng.normal(0.0, 2.0, 20000)
    >>> is_true = rng.random(20000) < 1.0 / (1.0 + np.exp(-log_odds))
    >>> fitted = fit_calibration(3.0 * log_odds - 1.0, is_true)
    >>> round(fitted.slope, 2), round(fitted.shift, 1)
    (0.33, 0.3)
    """
    inputs = np.stack([logits, np.full(len(logits), float(with_shift))], axis=1).astype(np.float64)
    sign = np.where(is_true, 1.0, -1.0)

    def measure_loss(line: NDArray[np.float64]) -> float:
        return float(np.logaddexp(0.0, -sign * (inputs @ line)).sum())

    line = np.array([1.0, 0.0])
    loss = measure_loss(line)
    for _ in range(100):
        chance = logistic(inputs @ line)
        gradient = inputs.T @ (chance - is_true)
        curvature = (inputs * (chance * (1.0 - chance))[:, None]).T @ inputs + 1e-6 * np.eye(2)
        step = np.linalg.solve(curvature, gradient)
        while (shorter := measure_loss(line - step)) > loss and np.abs(step).max() > 1e-9:
            step *= 0.5  # a full Newton step overshoots where nearly all chances are 0 or 1
        line, loss = line - step, shorter
        if float(np.abs(step).max()) < 1e-7:
            break
    return Calibration(float(line[0]), float(line[1]))


def measure_calibration_error(log_odds: NDArray[np.floating], is_true: NDArray[np.bool_], *, n_bins: int = 10) -> float:
    """Measure the expected calibration error: mean distance of chance and frequency over bins of equal width.

    Examples
    --------
    >>> measure_calibration_error(np.zeros(100), np.arange(100) < 50)
    0.0
    """
    chance = logistic(log_odds)
    bins = np.minimum((chance * n_bins).astype(int), n_bins - 1)
    error = 0.0
    for index in range(n_bins):
        inside = bins == index
        if inside.any():
            error += float(inside.mean()) * abs(float(chance[inside].mean()) - float(is_true[inside].mean()))
    return error
