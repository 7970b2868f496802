"""The pulse under a row of strokes: its finest regular step, and where each stroke lies on it.

A strumming hand swings at a constant rate and strikes at some of its turns, so the strokes lie near whole multiples of
one short step (the *tatum*). Its length is the longest for which the strokes' phases still agree; it may drift: it is
estimated in windows, joined by the smoothest row of lengths, and followed from stroke to stroke.

References
----------
J. Bilmes, "Techniques to foster drum machine expressivity", ICMC 1993 (the tatum). N. I. Fisher, *Statistical analysis
of circular data*, 1993 (the resultant length of phases).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SHORTEST_STEP_S, LONGEST_STEP_S = 0.07, 1.2
STEPS_PER_OCTAVE = 72
WINDOW_S, WINDOW_HOP_S = 12.0, 4.0
GOOD_SHARE = 0.8
"""Of the best agreement of phases that any length reaches: the longest length above it is the step."""
LEAST_AGREEMENT = 0.55
"""Of phases on the step found; random onsets reach .4 at most in windows of 12 s."""
FEW_STROKES, FEW_AGREEMENT = 16, 0.75  # a few strokes lie near some step by chance
CHANGE_COST = 6.0  # for an octave of change between windows
LONGEST_GAP_S = 4.0  # longer rests break the pulse
FOLLOW = 0.15  # how fast the length follows the strokes
LEAST_SWUNG, MOST_SWUNG = 0.15, 0.95  # shares of strokes on the beat, and on three fifths of it
NEAR_STROKES = 8  # on either side, through which a line is drawn
GRID_RIDGE = 4.0  # as if four steps more had been seen at the expected length
OFF_SHARE = 0.3  # of a step: a stroke further off is no part of the pulse


@dataclass(frozen=True, slots=True)
class Pulse:
    """Where strokes lie on the finest regular step.

    Parameters
    ----------
    steps : ndarray of int, shape (n_strokes,)
        Whole steps counted from the first stroke.
    step_times_s : ndarray, shape (n_steps,)
        When each step falls, from step 0 to the last stroke's and one more.
    step_s : float
        Median length.
    agreement : float
        How well the strokes agree, 0..1.
    """

    steps: NDArray[np.int64]
    step_times_s: Floats
    step_s: float
    agreement: float


def find_pulse(onsets_s: Floats, weights: Floats, *, step_range_s: tuple[float, float] | None = None) -> Pulse | None:
    """Find the pulse of a row of strokes.

    Parameters
    ----------
    onsets_s : ndarray, shape (n_strokes,)
    weights : ndarray, shape (n_strokes,)
        How much each stroke counts.
    step_range_s : (float, float) or None
        The shortest and longest step to consider.

    Returns
    -------
    Pulse or None
        None in free time, and for fewer than four strokes.

    Examples
    --------
    >>> pulse = find_pulse(np.array([1.0, 1.5, 1.75, 2.0, 2.5, 2.75, 3.0]), np.ones(7))
    >>> round(pulse.step_s, 2), pulse.steps.tolist()
    (0.25, [0, 2, 3, 4, 6, 7, 8])
    """
    if len(onsets_s) < 4:
        return None
    shortest, longest = step_range_s or (SHORTEST_STEP_S, LONGEST_STEP_S)
    n = max(2, int(np.log2(longest / shortest) * STEPS_PER_OCTAVE))
    lengths = shortest * 2.0 ** (np.arange(n) / STEPS_PER_OCTAVE)
    centres = np.arange(onsets_s[0], onsets_s[-1] + WINDOW_HOP_S, WINDOW_HOP_S)
    agreement = np.array([_agree(onsets_s, weights, centre, lengths) for centre in centres])
    overall = agreement.mean(axis=0)
    place = _longest_good(overall)
    track = _smoothest(agreement, place)
    found = float(np.mean([agreement[k, track[k]] for k in range(len(track))]))
    if found < (LEAST_AGREEMENT if len(onsets_s) >= FEW_STROKES else FEW_AGREEMENT):
        return None
    own_lengths = np.interp(onsets_s, centres, lengths[track])
    steps, times = _follow(onsets_s, own_lengths)
    swung = _join_fifths(steps)
    if swung is not None:
        steps = swung
        times = _draw_grid(onsets_s, steps, own_lengths * 2.5)
    return Pulse(steps, times, float(np.median(np.diff(times))), found)


def _agree(onsets_s: Floats, weights: Floats, centre_s: float, lengths: Floats) -> Floats:
    """Measure, for each length, how well the phases of the strokes in one window agree.

    Phases are compared between strokes not far apart, so that a small error of the length does not add up: the
    resultant is taken over differences of up to eight successive strokes.
    """
    inside = np.abs(onsets_s - centre_s) < WINDOW_S / 2
    times, counts = onsets_s[inside], weights[inside]
    if len(times) < 3:
        return np.zeros(len(lengths))
    total, norm = np.zeros(len(lengths)), 0.0
    for lag in range(1, min(9, len(times))):
        apart = times[lag:] - times[:-lag]
        pair = counts[lag:] * counts[:-lag] * (apart < LONGEST_GAP_S)
        total += (pair[:, None] * np.cos(2 * np.pi * apart[:, None] / lengths)).sum(axis=0)
        norm += float(pair.sum())
    return total / max(norm, 1e-9)


def _longest_good(agreement: Floats) -> int:
    """Return the longest length whose agreement is a local maximum near the best of all."""
    inner = (agreement[1:-1] >= agreement[:-2]) & (agreement[1:-1] >= agreement[2:])
    peaks = np.flatnonzero(np.concatenate([[True], inner, [True]]))
    good = peaks[agreement[peaks] >= GOOD_SHARE * agreement.max()]
    return int(good[-1])


def _smoothest(agreement: Floats, start: int) -> NDArray[np.int64]:
    """Follow the length through the windows, near where it is on the whole: agreement against change."""
    n_lengths = agreement.shape[1]
    reach = STEPS_PER_OCTAVE // 3
    low, high = max(0, start - reach), min(n_lengths, start + reach + 1)
    local = agreement[:, low:high]
    change = CHANGE_COST / STEPS_PER_OCTAVE * np.abs(np.subtract.outer(np.arange(high - low), np.arange(high - low)))
    total, came = local[0].copy(), []
    for row in local[1:]:
        options = total[None, :] - change
        came.append(options.argmax(axis=1))
        total = row + options.max(axis=1)
    place = int(total.argmax())
    path = [place]
    for back in reversed(came):
        place = int(back[place])
        path.append(place)
    return np.array(path[::-1]) + low


def _follow(onsets_s: Floats, lengths: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Count steps from stroke to stroke; the grid is drawn through the strokes by local straight lines."""
    steps = np.zeros(len(onsets_s), np.int64)
    phase_s, length = float(onsets_s[0]), float(lengths[0])
    count = 0
    for place in range(1, len(onsets_s)):
        length += FOLLOW * (float(lengths[place]) - length)
        ahead = (float(onsets_s[place]) - phase_s) / length
        whole = max(0, round(ahead))
        off = ahead - whole
        count += whole
        steps[place] = count
        # the grid moves towards a stroke that lies near it, and stays where one does not
        pull = 0.5 if abs(off) < OFF_SHARE else 0.05
        phase_s += whole * length + pull * off * length
    times = _draw_grid(onsets_s, steps, lengths)
    return steps, times


def _join_fifths(steps: NDArray[np.int64]) -> NDArray[np.int64] | None:
    """Count halves of a beat where fifths were found and only two of five are struck: a swung beat, long and short."""
    for first in range(5):
        beats, inside = np.divmod(steps - first, 5)
        on, off = float((inside == 0).mean()), float((inside == 3).mean())
        if min(on, off) >= LEAST_SWUNG and on + off >= MOST_SWUNG:
            halves = 2 * beats + (inside >= 2)
            return np.asarray(halves - halves[0], np.int64)
    return None


def _draw_grid(onsets_s: Floats, steps: NDArray[np.int64], lengths: Floats) -> Floats:
    """Give every step a time: around each step a line is fitted to the strokes near it."""
    grid = np.arange(steps[-1] + 2)
    middles = np.searchsorted(steps, grid)
    near = middles[:, None] + np.arange(-NEAR_STROKES, NEAR_STROKES)
    inside = (near >= 0) & (near < len(steps))
    near = near.clip(0, len(steps) - 1)
    counts = inside.sum(axis=1)
    x, y = np.where(inside, steps[near], 0).astype(float), np.where(inside, onsets_s[near], 0.0)
    mean_x, mean_y = x.sum(axis=1) / counts, y.sum(axis=1) / counts
    spread = np.where(inside, x - mean_x[:, None], 0.0)
    along = (spread * (y - mean_y[:, None])).sum(axis=1)
    expected = lengths[middles.clip(max=len(lengths) - 1)]
    slopes = (along + GRID_RIDGE * expected) / ((spread * spread).sum(axis=1) + GRID_RIDGE)
    times = mean_y + slopes * (grid - mean_x)
    return np.maximum.accumulate(times)
