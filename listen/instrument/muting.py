"""Muting: what strings that are not played cost a hand with a pick, for many shapes at once.

With nothing to hold the fretting hand lies on the strings that stay silent.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from listen.instrument import effort

Frets = NDArray[np.int8]
Floats = NDArray[np.floating[Any]]


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


def measure_muting(columns: Frets, real: type[np.floating[Any]] = np.float32) -> Floats:
    """Measure what each shape's unplayed strings cost with a pick."""
    n_strings, n = columns.shape
    played, stopped = columns >= 0, columns > 0
    left_out, inner, cost = np.zeros(n, np.int8), np.zeros(n, np.int8), np.zeros(n, real)
    begun = np.zeros(n, bool)
    pending, pending_cost = np.zeros(n, np.int8), np.zeros(n, real)
    for string in range(n_strings):
        here = played[string]
        inner += pending * (here & begun)
        cost += pending_cost * (here & begun)
        left_out += ~here
        begun |= here
        damped = stopped[string - 1] if string else np.zeros(n, bool)
        damped = damped | stopped[string + 1] if string + 1 < n_strings else damped
        pending = np.where(here, np.int8(0), pending + (begun & ~here))
        price = np.where(damped, real(effort.MUTE_DAMPED), real(effort.MUTE_INNER))
        pending_cost = np.where(here, real(0.0), pending_cost + price * begun)
    cost += real(effort.MUTE_OUTER) * (left_out - inner)
    cost += real(effort.MUTE_MORE) * np.maximum(inner - np.int8(1), 0)
    idle = real(effort.MUTE_OUTER) * (left_out - inner) + real(effort.MUTE_IDLE) * inner
    return np.asarray(np.where(stopped.any(axis=0), cost, idle) * begun, real)
