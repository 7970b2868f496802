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
recorded strums (`tests/benchmarks/joined_strums.py`) chords by time go from .950 to .967 with four; with three more is
won there, and .002 lost over 126 parts without rounds (`tests/benchmarks/people.py`)."""
LEAST_ALIKE = 0.6  # share of the neighbours that agrees by chance now and then
FURTHEST = 64  # bars from one round to another, for time
DEVIATES = 0.07
"""Share of bars that differ from their round, and of those that were misheard whatever they say; .03 does the same."""


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
        Nats, negative for what comes round: how much likelier each chord is here than anywhere, shared by the stretches
        of one chord in one bar.
    """
    tones = [(min(midis, default=0) % 12, frozenset(midi % 12 for midi in midis)) for midis in held]
    numbers = {chord: number for number, chord in enumerate(dict.fromkeys(tones))}
    chords = np.array([numbers[chord] for chord in tones])
    by_chord = np.argsort(chords, kind="stable")
    begins = np.searchsorted(chords[by_chord], np.arange(len(numbers)))
    rows, n_steps = bars - bars.min(), int(steps.max()) + 1
    places = _find_places(chords[path], rows, steps)
    at = rows * n_steps + steps
    summed = np.concatenate([np.zeros((1, costs.shape[1])), np.cumsum(costs, axis=0)])
    usual = np.minimum.reduceat(alone[by_chord], begins)
    likelier, weight = np.zeros((len(places.bars), len(numbers))), np.zeros(len(places.bars))
    alike = list(_compare_bars(_lay_out(chords[path], rows, steps)))
    for first, last in set(zip(places.first.tolist(), places.last.tolist(), strict=True)):
        own = np.flatnonzero((places.first == first) & (places.last == last))
        low, high = (np.searchsorted(at, np.arange(rows[-1] + 1) * n_steps + step) for step in (first, last))
        whole = np.minimum.reduceat((summed[high] - summed[low] + alone)[:, by_chord], begins, axis=1)
        said = np.log((1.0 - DEVIATES) * np.exp(_take_logs(whole) - _take_logs(usual)) + DEVIATES)
        for apart, weights in alike:
            here = own[weights[places.bars[own]] > 0.0]
            other = places.bars[here] + apart
            heard = weights[places.bars[here]] * (high > low)[other]
            likelier[here] += heard[:, None] * said[other]
            weight[here] += heard
    sure = np.minimum(weight, 1.0)[:, None] * (1.0 - DEVIATES)
    expected = -np.log(sure * np.exp(_take_logs(usual - likelier) - _take_logs(usual)) + (1.0 - sure))[:, chords]
    counts = np.diff(np.append(places.stretches, len(path)))
    return np.asarray(np.repeat(expected / counts[:, None], counts, axis=0))


def _find_places(chords: Ints, rows: Ints, steps: Ints) -> _Places:
    """Cut a row of chords where they change, and at bar lines."""
    starts = np.flatnonzero(np.append(True, (np.diff(chords) != 0) | (np.diff(rows) != 0)))
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


def _compare_bars(laid: Ints) -> Iterator[tuple[int, Floats]]:
    """Yield how far apart bars are, and how much each hears from the one so far off, shape (n_bars,)."""
    n_bars = len(laid)
    window = np.ones(2 * AROUND + 1)
    window[AROUND] = 0.0
    for lag in range(1, min(FURTHEST, n_bars - LEAST_AROUND) + 1):
        alike = (laid[lag:] == laid[:-lag]).mean(axis=1)
        n_around, agree = (np.convolve(one, window)[AROUND:-AROUND] for one in (np.ones(len(alike)), alike))
        share = np.where(n_around >= LEAST_AROUND, agree / np.maximum(n_around, 1.0), 0.0)
        weights = np.maximum(0.0, (share - LEAST_ALIKE) / (1.0 - LEAST_ALIKE))
        if weights.any():
            yield lag, np.append(weights, np.zeros(lag))
            yield -lag, np.append(np.zeros(lag), weights)


def _take_logs(costs: Floats) -> Floats:
    """Turn nats against each into logarithms of chances that add up to one along the last axis."""
    low = costs.min(axis=-1, keepdims=True)
    return np.asarray(low - costs - np.log(np.exp(low - costs).sum(axis=-1, keepdims=True)))
