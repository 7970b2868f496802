"""The cheapest row of held sets through the stretches of a part, by Viterbi's algorithm.

References
----------
A. J. Viterbi, "Error bounds for convolutional codes and an asymptotically optimum decoding algorithm", IEEE
Transactions on Information Theory 13(2), 1967.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def find_path(costs: Floats, change_costs: Floats, entries: Floats, leaving: Floats) -> tuple[float, list[int]]:
    """Find the cheapest row of states.

    Parameters
    ----------
    costs : ndarray, shape (n, n_states)
    change_costs : ndarray, shape (n,)
        Of a change at each place.
    entries : ndarray, shape (n_states,)
        Of entering each state.
    leaving : ndarray, shape (n, n_states)
        What each state costs more where another follows, or nothing: while the hand changes, less.
    """
    n, n_states = costs.shape
    came_from = np.zeros((n, n_states), np.int64)
    total = costs[0] + entries
    for place in range(1, n):
        left = total + leaving[place - 1]
        cheapest = int(np.argmin(left))
        change = left[cheapest] + change_costs[place] + entries
        stays = total <= change
        came_from[place] = np.where(stays, np.arange(n_states), cheapest)
        total = costs[place] + np.where(stays, total, change)
    total = total + leaving[-1]
    state = int(np.argmin(total))
    path = [state]
    for place in range(n - 1, 0, -1):
        state = int(came_from[place, state])
        path.append(state)
    return float(total.min()), path[::-1]
