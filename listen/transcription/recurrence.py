"""What comes round again: bars that stand among the same chords as others most likely hold what those hold.

Songs go in rounds of a few bars, and verses come back. Two bars are alike in place where the bars before and after them
agree; then what was heard in the one says what to expect in the other, the more so the more their neighbours agree. It
is an expectation and no more: a round that ends otherwise the last time is how songs end, and what was heard decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

AROUND, LEAST_AROUND = 4, 4
"""Bars on either side that are to agree; fewer neighbours in all are no context. Over 48 other parts joined from
recorded strums (`tests/benchmarks/joined_strums.py`) chords by time go from .950 to .970 with four and .980 with three,
over 126 parts without rounds (`tests/benchmarks/people.py`) three cost .002."""
LEAST_ALIKE = 0.6  # share of the neighbours that agrees by chance now and then
FURTHEST = 64  # bars from one round to another, for time
DEVIATES = 0.07  # share of bars that differ from their round; .03 does the same


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """Where each chord lies in its bar: from its first step to the next chord's, the whole bar where it is alone.

    Parameters
    ----------
    stretches : ndarray of int, shape (n,)
        Index of its first stretch.
    bars, first, last : ndarray of int, shape (n,)
        Its bar; its first step, and the one after its last.
    """

    stretches: Ints
    bars: Ints
    first: Ints
    last: Ints


def weigh_recurrence(
    costs: Floats, path: NDArray[np.intp], held: Sequence[tuple[int, ...]], *, alone: Floats, bars: Ints, steps: Ints
) -> Floats:
    """Weigh each held set by what was heard at the same places of bars that stand among the same chords.

    Sets of the same tones over the same bass are one chord there: a string more or less is no other.

    Parameters
    ----------
    costs : ndarray, shape (n_stretches, n_sets)
        How badly each set explains each stretch.
    path : ndarray of int, shape (n_stretches,)
        Which set is held in each stretch, as far as is known.
    held : sequence of tuple of int
        MIDI numbers of each set.
    alone : ndarray, shape (n_sets,)
        What each set costs by itself.
    bars, steps : ndarray of int, shape (n_stretches,)
        Where each stretch lies, in time order; steps of a bar.

    Returns
    -------
    ndarray, shape (n_stretches, n_sets)
        Nats, negative for what comes round: how much likelier each chord is here than anywhere. Each chord's in its bar
        are shared by its stretches.
    """
    tones = [(min(midis, default=0) % 12, frozenset(midi % 12 for midi in midis)) for midis in held]
    numbers = {chord: number for number, chord in enumerate(dict.fromkeys(tones))}
    chords = np.array([numbers[chord] for chord in tones])
    by_chord = np.argsort(chords, kind="stable")
    begins = np.searchsorted(chords[by_chord], np.arange(len(numbers)))
    rows = bars - bars.min()
    places = _find_places(path, rows, steps)
    at = rows * int(steps.max() + 1) + steps
    summed = np.concatenate([np.zeros((1, costs.shape[1])), np.cumsum(costs, axis=0)])
    usual = np.minimum.reduceat(alone[by_chord], begins)
    against, n_alike = np.tile(usual, (len(places.bars), 1)), np.zeros(len(places.bars))
    for here, other, weights in _pair_bars(_lay_out(chords[path], rows, steps), places.bars):
        from_bar = other * int(steps.max() + 1)
        low, high = (np.searchsorted(at, from_bar + step[here]) for step in (places.first, places.last))
        whole = (summed[high] - summed[low] + alone)[:, by_chord]
        against[here] += weights[:, None] * (np.minimum.reduceat(whole, begins, axis=1) - usual)
        n_alike[here] += weights * (high > low)
    likelier = _to_shares(against) / _to_shares(usual)
    sure = np.minimum(n_alike, 1.0)[:, None] * (1.0 - DEVIATES)
    expected = -np.log(sure * likelier + (1.0 - sure))[:, chords]
    counts = np.diff(np.append(places.stretches, len(path)))
    return np.asarray(np.repeat(expected / counts[:, None], counts, axis=0))


def _find_places(path: NDArray[np.intp], rows: Ints, steps: Ints) -> _Places:
    """Cut the path into chords, and chords at bar lines."""
    starts = np.flatnonzero(np.append(True, (np.diff(path) != 0) | (np.diff(rows) != 0)))
    bars = rows[starts]
    opens = np.append(True, np.diff(bars) != 0)
    first = np.where(opens, 0, steps[starts])
    last = np.where(np.append(opens[1:], True), steps.max() + 1, np.append(first[1:], 0))
    return _Places(starts, bars, first, last)


def _lay_out(chords: Ints, rows: Ints, steps: Ints) -> Ints:
    """Return which chord is held at each step at which anything ever begins, shape (n_bars, n_steps)."""
    columns, places = np.unique(steps, return_inverse=True)
    laid = np.full((int(rows.max()) + 1) * len(columns), -1)
    laid[rows * len(columns) + places] = chords
    known = np.maximum.accumulate(np.where(laid >= 0, np.arange(len(laid)), 0))
    return laid[known].reshape(-1, len(columns))


def _pair_bars(laid: Ints, bars: Ints) -> Iterator[tuple[Ints, Ints, Floats]]:
    """Yield places, bars among whose neighbours they could be as well, and how much those say of them."""
    n_bars = len(laid)
    window = np.ones(2 * AROUND + 1)
    window[AROUND] = 0.0
    for lag in range(1, min(FURTHEST, n_bars - LEAST_AROUND) + 1):
        alike = (laid[lag:] == laid[:-lag]).mean(axis=1)
        n_around, agree = (np.convolve(one, window)[AROUND:-AROUND] for one in (np.ones(len(alike)), alike))
        share = np.where(n_around >= LEAST_AROUND, agree / np.maximum(n_around, 1.0), 0.0)
        weights = np.append(np.maximum(0.0, (share - LEAST_ALIKE) / (1.0 - LEAST_ALIKE)), np.zeros(lag))
        for other, pair in ((bars + lag, bars), (bars - lag, bars - lag)):
            here = np.flatnonzero((other >= 0) & (other < n_bars) & (weights[pair] > 0.0))
            if len(here):
                yield here, other[here], weights[pair[here]]


def _to_shares(costs: Floats) -> Floats:
    """Turn nats into chances that add up to one along the last axis."""
    chances = np.exp(costs.min(axis=-1, keepdims=True) - costs)
    return np.asarray(chances / chances.sum(axis=-1, keepdims=True))
