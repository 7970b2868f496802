"""The pulse under a row of strokes, as a person plays it: a step whose length moves, and where each stroke lies on it.

A strumming hand swings and strikes at some of its turns, so strokes lie near whole multiples of one short step (the
*tatum*), which is followed from stroke to stroke (:mod:`listen.transcription.pulse_tracking`). Where that explains the
strokes no better than chance, they are in free time.

References
----------
J. Bilmes, "Techniques to foster drum machine expressivity", ICMC 1993 (the tatum).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.transcription.pulse_tracking import (
    BEGIN,
    LENGTHS_PER_OCTAVE,
    LONGEST_STEP_S,
    SHORTEST_STEP_S,
    STRAY,
    track_steps,
)
from listen.transcription.step_grid import choose_split, find_phases, fit_lines, join_fifths, part_fifths

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_GAIN, FEW_GAIN = -0.14, 4.0
"""Nats a stroke over strokes at random, and so many more in all: what a pulse must gain."""
LEAST_STROKES = 4
LEVEL_OCTAVES, MOST_BETWEEN, OFF_STEPS = 0.03, 8, 0.25
"""How far from twice as long the steps of one tempo are; across how many of the shorter ones, and how far off them,
what comes next is still the same one; judged."""


@dataclass(frozen=True, slots=True)
class Pulse:
    """Where the strokes of one stretch of a tempo, steady or moving, lie on its finest step.

    Parameters
    ----------
    first, last : int
        Its strokes, both included.
    steps : ndarray of int, shape (last - first + 1,)
        Whole steps counted from the first stroke; a stroke between two steps has the nearer one.
    step_times_s : ndarray, shape (n_steps,)
        When each step falls, from step 0 to the last stroke's and one more.
    step_s : float
        Median length.
    gain : float
        Nats a stroke that it explains better than strokes at random.
    """

    first: int
    last: int
    steps: Ints
    step_times_s: Floats
    step_s: float
    gain: float

    def time_of(self, steps: Ints) -> Floats:
        """Return when steps fall, also before the first and after the last."""
        times = self.step_times_s
        inside = times[np.clip(steps, 0, len(times) - 1)]
        before, after = np.minimum(steps, 0), np.maximum(steps - (len(times) - 1), 0)
        near = min(len(times) - 1, 4)
        earlier, later = (times[near] - times[0]) / near, (times[-1] - times[-1 - near]) / near
        return np.asarray(inside + before * earlier + after * later)


def find_pulses(
    onsets_s: Floats, *, begin_costs: Floats | None = None, lengths_s: Floats | None = None
) -> tuple[Pulse, ...]:
    """Find the pulse of a row of strokes: one for each tempo that it is played in.

    Parameters
    ----------
    onsets_s : ndarray, shape (n_strokes,)
    begin_costs : ndarray, shape (n_strokes,), or None
        Nats that a tempo which begins at a stroke costs more: people begin with a downstroke.
    lengths_s : ndarray or None
        Lengths that a step may begin with, where something is told: then there is a pulse.

    Returns
    -------
    tuple of Pulse
        Empty in free time, and for fewer than four strokes.

    Examples
    --------
    >>> (pulse,) = find_pulses(np.array([1.0, 1.5, 1.75, 2.0, 2.5, 2.75, 3.0]))
    >>> round(pulse.step_s, 2), pulse.steps.tolist()
    (0.25, [0, 2, 3, 4, 6, 7, 8])
    """
    if len(onsets_s) < LEAST_STROKES:
        return ()
    lengths = make_lengths() if lengths_s is None else lengths_s
    advances, score = track_steps(onsets_s, lengths, begin_costs=begin_costs)
    n = len(onsets_s)
    gain = score / n - np.log(n / max(float(onsets_s[-1] - onsets_s[0]), 1e-3)) + 1.0
    if lengths_s is None and gain < LEAST_GAIN + FEW_GAIN / n:
        return ()
    begins = np.flatnonzero(advances == BEGIN).tolist()
    return tuple(
        draw_pulse(onsets_s, advances, first, after - 1, float(gain))
        for first, after in zip(begins, [*begins[1:], n], strict=True)
    )


def join_levels(pulses: tuple[Pulse, ...]) -> tuple[Pulse, ...]:
    """Join stretches of one tempo of which one has steps half as long: the hand strikes oftener, or less often, there.

    Parameters
    ----------
    pulses : tuple of Pulse

    Returns
    -------
    tuple of Pulse
        In the shorter steps where some were joined; what begins off the steps before it stays another tempo.
    """
    joined: list[Pulse] = []
    for pulse in pulses:
        both = _join_levels(joined[-1], pulse) if joined else None
        joined[-1:] = [both] if both is not None else [*joined[-1:], pulse]
    return tuple(joined)


def _join_levels(before: Pulse, after: Pulse) -> Pulse | None:
    if abs(abs(np.log2(before.step_s / after.step_s)) - 1.0) > LEVEL_OCTAVES:
        return None
    if before.step_s > after.step_s:
        before = split_pulse(before)
    else:
        after = split_pulse(after)
    last, begins = int(before.steps[-1]), float(after.step_times_s[0])
    between = (begins - float(before.step_times_s[last])) / before.step_s
    gap = round(between)
    if not 1 <= gap <= MOST_BETWEEN or abs(between - gap) > OFF_STEPS:
        return None
    inside = np.linspace(before.step_times_s[last], begins, gap + 1)[:-1]
    times_s = np.concatenate([before.step_times_s[:last], inside, after.step_times_s])
    steps = np.concatenate([before.steps, after.steps + last + gap])
    return Pulse(before.first, after.last, steps, times_s, float(np.median(np.diff(times_s))), before.gain)


def split_pulse(pulse: Pulse, parts: int = 2) -> Pulse:
    """Return the same pulse in steps half as long, or of which so many make one."""
    inside = np.arange(parts * (len(pulse.step_times_s) - 1) + 1) / parts
    times_s = np.interp(inside, np.arange(len(pulse.step_times_s)), pulse.step_times_s)
    return replace(pulse, steps=parts * pulse.steps, step_times_s=times_s, step_s=pulse.step_s / parts)


def join_unstruck(pulse: Pulse, told_s: Floats) -> Pulse:
    """Return the same pulse in the longest steps on which all strokes and told times lie: nothing parts them."""
    told = find_phases(told_s, pulse.step_times_s) + np.minimum(told_s - pulse.step_times_s[0], 0.0) / pulse.step_s
    parts = int(np.gcd.reduce(np.concatenate([pulse.steps, np.round(told).astype(np.int64)])))
    if parts < 2:
        return pulse
    times_s = np.append(pulse.step_times_s[:-1:parts], 2.0 * pulse.step_times_s[-2] - pulse.step_times_s[-2 - parts])
    return replace(pulse, steps=pulse.steps // parts, step_times_s=times_s, step_s=parts * pulse.step_s)


def make_lengths(beat_s: float | None = None) -> Floats:
    """Return lengths that a step may begin with, rising: near a beat that is told, and its parts, or any."""
    every = np.geomspace(SHORTEST_STEP_S, LONGEST_STEP_S, int(np.log2(12.0) * LENGTHS_PER_OCTAVE) + 1)
    if beat_s is None:
        return np.asarray(every)
    near = np.concatenate([beat_s / parts * 2.0 ** np.linspace(-0.12, 0.12, 5) for parts in (4, 3, 2, 1)])
    return np.asarray(np.sort(near[near >= 0.5 * SHORTEST_STEP_S]))


def draw_pulse(onsets_s: Floats, advances: Ints, first: int, last: int, gain: float) -> Pulse:
    """Draw the grid of one tempo through its strokes, and lay strays on its finest parts.

    Parameters
    ----------
    onsets_s : ndarray, shape (n_strokes,)
    advances : ndarray of int, shape (n_strokes,)
        From :func:`track_steps`.
    first, last : int
        The strokes of this tempo, both included.
    gain : float

    Returns
    -------
    Pulse
    """
    own, how = onsets_s[first : last + 1], advances[first : last + 1]
    on = np.flatnonzero(how != STRAY)
    steps = np.cumsum(np.maximum(how[on], 0))
    times = fit_lines(own[on], steps)
    phases = find_phases(own, times)
    split = choose_split(phases[how == STRAY], len(own))
    if split > 1:
        every = np.arange(split * (len(times) - 1) + 1) / split
        times = np.interp(every, np.arange(len(times)), times)
        phases = phases * split
    laid = np.round(phases).astype(np.int64)
    if split == 1:
        laid[on] = steps
    if 5 * float(np.median(np.diff(times))) > LONGEST_STEP_S:  # longer than a beat, so a bar
        laid, times = part_fifths(phases, times) or (laid, times)
    else:
        joined = join_fifths(laid)
        if joined is not None:
            laid, times = joined, fit_lines(own, joined)
    laid -= laid[0]
    return Pulse(first, last, laid, times, float(np.median(np.diff(times))), gain)
