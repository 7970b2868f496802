"""Muting: what strings that are not played cost a hand with a pick, for many shapes at once.

The measure is that of :func:`effort.estimate_muting <listen.instrument.effort.estimate_muting>`.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from listen.instrument import effort

Frets = NDArray[np.int8]
Floats = NDArray[np.float32]


def encode_states(columns: Frets) -> NDArray[np.int32]:
    """Return the strings of each shape (not played, open, stopped) as a number in base three."""
    states = np.sign(columns) + np.int8(1)
    code = np.zeros(columns.shape[1], np.int32)
    for column in states:
        code *= 3
        code += column
    return code


@lru_cache(maxsize=8)
def tabulate_muting(n_strings: int) -> Floats:
    """Tabulate what unplayed strings cost with a pick, by the numbers of :func:`encode_states`."""
    places = 3 ** np.arange(n_strings - 1, -1, -1)[:, None]
    return measure_muting(((np.arange(3**n_strings) // places) % 3 - 1).astype(np.int8))


def measure_muting(columns: Frets) -> Floats:
    """Measure what each shape's unplayed strings cost with a pick (see :func:`effort.estimate_muting`)."""
    n_strings, n = columns.shape
    played, stopped = columns >= 0, columns > 0
    left_out, inner, cost = np.zeros(n, np.int8), np.zeros(n, np.int8), np.zeros(n, np.float32)
    begun = np.zeros(n, bool)
    pending, pending_cost = np.zeros(n, np.int8), np.zeros(n, np.float32)
    for string in range(n_strings):
        here = played[string]
        inner += pending * (here & begun)
        cost += pending_cost * (here & begun)
        left_out += ~here
        begun |= here
        damped = stopped[string - 1] if string else np.zeros(n, bool)
        damped = damped | stopped[string + 1] if string + 1 < n_strings else damped
        pending = np.where(here, np.int8(0), pending + (begun & ~here))
        price = np.where(damped, np.float32(effort.MUTE_DAMPED), np.float32(effort.MUTE_INNER))
        pending_cost = np.where(here, np.float32(0.0), pending_cost + price * begun)
    cost += np.float32(effort.MUTE_OUTER) * (left_out - inner)
    cost += np.float32(effort.MUTE_MORE) * np.maximum(inner - np.int8(1), 0)
    idle = np.float32(effort.MUTE_OUTER) * (left_out - inner) + np.float32(effort.MUTE_IDLE) * inner
    return np.asarray(np.where(stopped.any(axis=0), cost, idle) * begun, np.float32)
