"""A grid of steps drawn through strokes: when each step falls, and into which parts steps are split.

Conventions: seconds; a phase is a place on the grid in steps, not rounded.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_STRAYS, STRAY_SHARE, SPLIT_SD, SPLIT_NATS = 2, 0.12, 0.09, 1.5
"""Strays, and their share, from which a step may be split (.05 let a few syllables do so: bar lines of 59 parts of
`benchmarks.people` went from F .906 to .925); how near its parts they lie, in steps; what a split must gain (judged,
not measured)."""
LEAST_SWUNG, MOST_SWUNG = 0.15, 0.95  # shares of strokes on the beat, and on three fifths of it
MOST_PARTED = 0.8  # share of strokes on one and on two fifths of a bar: some bars are played otherwise; judged
NEAR_STROKES, NEAR_STEPS = 8, 2.0  # a line is drawn through so many on either side, those so near counting most
LINE_RIDGE = 2.0  # as if so much had been seen at the expected length
LEFT_OUT = 0.25  # of a step: what is counted and was left out lies within so much before the next stroke
SHORTEST_SHARE = 0.1  # of the expected step, by which each step comes after the one before at least; judged


def find_phases(onsets_s: Floats, times_s: Floats) -> Floats:
    """Return each stroke's exact place on the grid, in steps; strays after its end lie beyond it."""
    beyond = np.maximum(onsets_s - times_s[-1], 0.0) / (times_s[-1] - times_s[-2])
    return np.asarray(np.interp(onsets_s, times_s, np.arange(len(times_s))) + beyond)


def choose_split(strays: Floats, n_strokes: int) -> int:
    """Choose into how many parts a step is split, by where strays lie in it: 1, 2 or 3."""
    if len(strays) < max(LEAST_STRAYS, STRAY_SHARE * n_strokes):
        return 1
    gains = [0.0]
    for parts in (2, 3):
        off = np.abs(strays * parts - np.round(strays * parts)) / parts
        off = np.where(np.round(strays * parts) % parts == 0, 0.5, off)  # beside a step it is no part of one
        near = np.exp(-0.5 * (off / SPLIT_SD) ** 2) / (SPLIT_SD * np.sqrt(2 * np.pi) * (parts - 1))
        gains.append(float(np.log(0.7 * near + 0.3).sum()) - SPLIT_NATS)
    return 1 + int(np.argmax(gains))


def join_fifths(steps: Ints) -> Ints | None:
    """Count halves of a beat where fifths were found and only two of five are struck: a swung beat, long and short."""
    for first in range(5):
        beats, inside = np.divmod(steps - first, 5)
        on, off = float((inside == 0).mean()), float((inside == 3).mean())
        if min(on, off) >= LEAST_SWUNG and on + off >= MOST_SWUNG:
            halves = 2 * beats + (inside >= 2)
            return np.asarray(halves - halves[0], np.int64)
    return None


def part_fifths(phases: Floats, times_s: Floats) -> tuple[Ints, Floats] | None:
    """Count eighths of a bar where fifths of it were found and few but the first and third are struck.

    Strokes on one and halfway after two, swung, lie 40 to 42 hundredths of the bar apart.

    Parameters
    ----------
    phases : ndarray, shape (n_strokes,)
        Where strokes lie on the grid of fifths, in its steps.
    times_s : ndarray
        When each of those steps falls.

    Returns
    -------
    (ndarray of int, ndarray) or None
        Eighths from the first stroke, and when each of them falls.
    """
    steps = np.round(phases)
    for first in range(5):
        inside = (steps - first) % 5
        on, off = float((inside == 0).mean()), float((inside == 2).mean())
        if min(on, off) >= LEAST_SWUNG and on + off >= MOST_PARTED:
            eighths = np.round((phases - first) * 8 / 5).astype(np.int64)
            places = first + np.arange(eighths[0], eighths[-1] + 2) * 5 / 8
            n = len(times_s) - 1
            beyond = np.minimum(places, 0.0) * (times_s[1] - times_s[0])
            beyond += np.maximum(places - n, 0.0) * (times_s[-1] - times_s[-2])
            return eighths - eighths[0], np.interp(places, np.arange(n + 1), times_s) + beyond
    return None


def fit_lines(onsets_s: Floats, steps: Ints, *, step_s: float | None = None) -> Floats:
    """Give every step a time: around each a line is fitted to the strokes near it, the nearest counting most.

    Where no expected length of a step is given, it is that of the whole.
    """
    grid = np.arange(steps[-1] + 2)
    middles = np.searchsorted(steps, grid)
    near = middles[:, None] + np.arange(-NEAR_STROKES, NEAR_STROKES)
    inside = (near >= 0) & (near < len(steps))
    near = near.clip(0, len(steps) - 1)
    x, y = steps[near].astype(float), onsets_s[near]
    weights = inside * np.exp(-0.5 * ((x - grid[:, None]) / NEAR_STEPS) ** 2) + 1e-9 * inside
    total = weights.sum(axis=1)
    mean_x, mean_y = (weights * x).sum(axis=1) / total, (weights * y).sum(axis=1) / total
    spread = x - mean_x[:, None]
    expected = step_s or (onsets_s[-1] - onsets_s[0]) / max(1, int(steps[-1]))
    along = (weights * spread * (y - mean_y[:, None])).sum(axis=1)
    slopes = (along + LINE_RIDGE * expected) / ((weights * spread**2).sum(axis=1) + LINE_RIDGE)
    return let_rise(mean_y + slopes * (grid - mean_x), least_s=SHORTEST_SHARE * expected)


def fit_slipped(onsets_s: Floats, steps: Ints, struck: Ints, *, step_s: float, least_slip: int = 2) -> Floats:
    """Give every step a time where a hand came off the count: each side of a slip is fitted by itself.

    Slips of fewer steps than the least one are mostly a tempo that moves, and are smoothed.

    Parameters
    ----------
    onsets_s : ndarray, shape (n_strokes,)
    steps, struck : ndarray of int, shape (n_strokes,)
        Steps from the first stroke, as they are counted and as they were struck.
    step_s : float
        Expected length of a step.
    least_slip : int

    Returns
    -------
    ndarray, shape (steps[-1] + 2,)
        Steps that are counted and were left out lie close before the stroke that comes after them.

    Examples
    --------
    >>> fit_slipped(np.arange(4.0), np.array([0, 1, 4, 5]), np.arange(4), step_s=1.0).tolist()
    [0.0, 1.0, 1.75, 1.875, 2.0, 3.0, 4.0]
    """
    counted = np.diff(steps)
    slips = (np.flatnonzero(np.abs(counted - np.diff(struck)) >= least_slip) + 1).tolist()
    if not slips:
        return fit_lines(onsets_s, steps)
    times = np.zeros(int(steps[-1]) + 2)
    for first, end in pairwise([0, *slips, len(steps)]):
        own = fit_lines(onsets_s[first:end], steps[first:end] - steps[first], step_s=step_s)
        times[steps[first] : steps[first] + len(own)] = own
    for after in slips:
        n = int(counted[after - 1])
        last, begins = times[steps[after - 1]], times[steps[after]]
        share, real = np.arange(n) / n, round((begins - last) / step_s)
        if 0 < real < n:
            share = np.interp(np.arange(n), [-1, 0, real - 1, real, n], [0, 0, 1 - 1 / real, 1 - LEFT_OUT / real, 1])
        times[steps[after] - n : steps[after]] = last + share * (begins - last)
    return let_rise(times, least_s=SHORTEST_SHARE * LEFT_OUT / max(1, *counted) * step_s)


def let_rise(times_s: Floats, *, least_s: float) -> Floats:
    """Return times of which each comes after the one before by at least so much: those that do stay where they are.

    Examples
    --------
    >>> let_rise(np.array([1.0, 1.5, 1.5, 1.25, 2.0]), least_s=0.125).tolist()
    [1.0, 1.5, 1.625, 1.75, 2.0]
    """
    least = least_s * np.arange(len(times_s))
    return np.asarray(np.maximum.accumulate(times_s - least) + least)
