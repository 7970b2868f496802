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
