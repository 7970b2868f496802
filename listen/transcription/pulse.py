"""The pulse under a row of strokes, as a person plays it: a step whose length moves, and where each stroke lies on it.

A strumming hand swings and strikes at some of its turns, so strokes lie near whole multiples of one short step (the
*tatum*). Tempo is a state: after each stroke a hypothesis knows when its last step fell and how long a step is, with
their covariance (a Kalman filter); the next stroke lies one, two … steps on, or between steps, or comes after a
hesitation, or begins a new tempo. The best few hundred hypotheses are kept, all of them worked on at once.

References
----------
A. T. Cemgil, B. Kappen, "Monte Carlo methods for tempo tracking and rhythm quantization", JAIR 18, 2003 (the switching
Kalman filter over score positions). N. Whiteley, A. T. Cemgil, S. Godsill, "Bayesian modelling of temporal structure
in musical audio", ISMIR 2006 (tempo as a state that moves). J. Bilmes, "Techniques to foster drum machine
expressivity", ICMC 1993 (the tatum).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.transcription.step_grid import choose_split, find_phases, fit_lines, join_fifths

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHORTEST_STEP_S, LONGEST_STEP_S = 0.1, 1.2  # sixteenths at 150 beats a minute; a beat at 50
LENGTHS_PER_OCTAVE = 18  # neighbours are 4 % apart, which the filter closes
ONSET_SD_S = 0.022  # of strokes from their steps: 24 to 41 ms of beats of recorded takes, tempo and all; judged
TEMPO_SD = 0.02  # of its length, by which a step may be longer than the one before
STRUCK, STRUCK_STEPS, LEAST_STRUCK = 0.6, 10.0, 0.45
"""Share of steps that carry a stroke, and how many steps that is worth against those of the part: a hand that strikes
three, three and two eighths leaves five of eight out. On ever fewer struck steps any row of strokes lies."""
STRAY_A_SECOND = 0.08  # strokes on no step; judged
VOICES_A_SECOND = 2.5  # syllables that are taken for strokes, where somebody speaks (judged, not measured)
HESITATES, HESITATION_SD = 0.01, 0.35  # how often; in steps
RESTART_NATS = 9.0  # what a new tempo costs; judged
LONG_GAP_S, LONG_GAP_NATS = 2.5, 4.0  # after a longer rest a new tempo costs so much less
MOST_EMPTY = 6  # steps without a stroke: more say no more
N_KEPT, WORST_NATS = 200, 14.0  # behind the best
LEAST_GAIN, FEW_GAIN = -0.16, 4.0
"""Nats a stroke over strokes at random, and so many more in all: what a pulse must gain."""
LEAST_STROKES = 4
STRAY, BEGIN = -1, -2  # in place of a count of steps


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


def split_pulse(pulse: Pulse) -> Pulse:
    """Return the same pulse in steps half as long."""
    halves = np.arange(2 * len(pulse.step_times_s) - 1) / 2.0
    times_s = np.interp(halves, np.arange(len(pulse.step_times_s)), pulse.step_times_s)
    return replace(pulse, steps=2 * pulse.steps, step_times_s=times_s, step_s=0.5 * pulse.step_s)


def make_lengths(beat_s: float | None = None) -> Floats:
    """Return lengths that a step may begin with, rising: near a beat that is told, and its parts, or any."""
    every = np.geomspace(SHORTEST_STEP_S, LONGEST_STEP_S, int(np.log2(12.0) * LENGTHS_PER_OCTAVE) + 1)
    if beat_s is None:
        return np.asarray(every)
    near = np.concatenate([beat_s / parts * 2.0 ** np.linspace(-0.12, 0.12, 5) for parts in (4, 3, 2, 1)])
    return np.asarray(np.sort(near[near >= 0.5 * SHORTEST_STEP_S]))


class _Beam:
    """Hypotheses after a stroke: a column each.

    Rows: when the last step fell, how long a step is, their three covariances, the score, the last stroke on a step,
    the hypothesis that it came from, how (steps on, or :data:`STRAY`, :data:`BEGIN`), how many steps were struck, and
    how many in all.
    """

    AT, LENGTH, VAR_AT, COV, VAR_LENGTH, SCORE, MATCHED, PARENT, HOW, N_STRUCK, N_STEPS = range(11)


def track_steps(
    onsets_s: Floats, lengths_s: Floats, *, begin_costs: Floats | None = None, doubts: Floats | None = None
) -> tuple[Ints, float]:
    """Follow the step through a row of strokes.

    Parameters
    ----------
    onsets_s : ndarray, shape (n_strokes,)
    lengths_s : ndarray, shape (n_lengths,)
        Lengths that a step may begin with.
    begin_costs : ndarray, shape (n_strokes,), or None
        Nats that a tempo costs more which begins at a stroke.
    doubts : ndarray, shape (n_strokes,), or None
        How likely each stroke is none, but a voice's, which keeps no time.

    Returns
    -------
    advances : ndarray of int, shape (n_strokes,)
        Steps from the last stroke that lay on one; −1 for a stray, −2 where a tempo begins.
    score : float
        Log-likelihood of the best hypothesis.
    """
    b = _Beam
    doubts = np.zeros(len(onsets_s)) if doubts is None else doubts
    on_costs, stray_costs = -np.log1p(-doubts), -np.log(STRAY_A_SECOND * (1.0 - doubts) + VOICES_A_SECOND * doubts)
    beam = _begin(float(onsets_s[0]), lengths_s, 0)
    history = [beam[[b.PARENT, b.HOW]]]
    for place in range(1, len(onsets_s)):
        extended = _extend(beam, float(onsets_s[place]), place, (float(on_costs[place]), float(stray_costs[place])))
        new = _begin(float(onsets_s[place]), lengths_s, place)
        best = int(beam[b.SCORE].argmax())
        rested = float(onsets_s[place] - onsets_s[place - 1]) > LONG_GAP_S
        cost = RESTART_NATS - (LONG_GAP_NATS if rested else 0.0)
        new[b.SCORE] += (
            beam[b.SCORE, best] - cost - on_costs[place] - (0.0 if begin_costs is None else begin_costs[place])
        )
        new[b.PARENT] = best
        beam = _prune(np.concatenate([extended, new], axis=1))
        history.append(beam[[b.PARENT, b.HOW]])
    column = int(beam[b.SCORE].argmax())
    score = float(beam[b.SCORE, column])
    advances = np.zeros(len(onsets_s), np.int64)
    for place in range(len(onsets_s) - 1, -1, -1):
        parent, how = history[place][:, column]
        advances[place] = int(how)
        column = int(parent)
    return advances, score


def _begin(at_s: float, lengths_s: Floats, place: int) -> Floats:
    """Begin a tempo at a stroke: a hypothesis for each length."""
    b = _Beam
    beam = np.zeros((11, len(lengths_s)))
    beam[b.AT], beam[b.LENGTH] = at_s, lengths_s
    beam[b.VAR_AT], beam[b.VAR_LENGTH] = ONSET_SD_S**2, (0.5 / LENGTHS_PER_OCTAVE * lengths_s) ** 2
    beam[b.SCORE] = np.log(STRUCK) - np.log(len(lengths_s))
    beam[b.MATCHED], beam[b.HOW] = place, BEGIN
    beam[b.N_STRUCK], beam[b.N_STEPS] = STRUCK * STRUCK_STEPS, STRUCK_STEPS
    return beam


def _extend(beam: Floats, at_s: float, place: int, costs: tuple[float, float]) -> Floats:
    """Lay a stroke on a step of each hypothesis: the nearest, the one beside it, after a hesitation, or on none.

    What it costs to lie on a step, whichever, and on none, is given.
    """
    b = _Beam
    exact = (at_s - beam[b.AT]) / beam[b.LENGTH]
    near = np.maximum(np.round(exact), 1.0)
    beside = np.maximum(near + np.where(exact > near, 1.0, -1.0), 1.0)
    stray = beam.copy()
    on_cost, stray_cost = costs
    stray[b.SCORE] -= stray_cost
    stray[b.PARENT], stray[b.HOW] = np.arange(beam.shape[1]), STRAY
    late = _match(beam, at_s, near, place, HESITATION_SD)
    late[b.SCORE] += np.log(HESITATES)
    on = np.concatenate([_match(beam, at_s, near, place, 0.0), _match(beam, at_s, beside, place, 0.0), late], 1)
    on[b.SCORE] -= on_cost
    return np.concatenate([on, stray], 1)


def _match(beam: Floats, at_s: float, advance: Floats, place: int, hesitation_sd: float) -> Floats:
    """Correct each hypothesis by a stroke that lies so many steps on (Kalman's equations)."""
    b = _Beam
    length = beam[b.LENGTH]
    walk = (TEMPO_SD * length) ** 2 * advance
    var_at = beam[b.VAR_AT] + advance * (2.0 * beam[b.COV] + advance * beam[b.VAR_LENGTH]) + walk * advance**2 / 3.0
    cov = beam[b.COV] + advance * beam[b.VAR_LENGTH] + walk * advance / 2.0
    var_length = beam[b.VAR_LENGTH] + walk
    var_at = var_at + (hesitation_sd * length) ** 2
    off = at_s - beam[b.AT] - advance * length
    var = var_at + ONSET_SD_S**2
    pull_at, pull_length = var_at / var, cov / var
    matched = beam.copy()
    matched[b.AT] = at_s - off + pull_at * off
    matched[b.LENGTH] = np.maximum(length + pull_length * off, 0.5 * SHORTEST_STEP_S)
    matched[b.VAR_AT] = (1.0 - pull_at) * var_at
    matched[b.COV] = (1.0 - pull_at) * cov
    matched[b.VAR_LENGTH] = var_length - pull_length * cov
    empty = np.minimum(advance - 1.0, MOST_EMPTY)
    struck = np.maximum(beam[b.N_STRUCK] / beam[b.N_STEPS], LEAST_STRUCK)
    matched[b.SCORE] = (
        beam[b.SCORE] - 0.5 * (off * off / var + np.log(2 * np.pi * var)) + np.log(struck) + empty * np.log1p(-struck)
    )
    matched[b.MATCHED] = place
    matched[b.N_STRUCK] += 1.0
    matched[b.N_STEPS] += empty + 1.0
    matched[b.PARENT], matched[b.HOW] = np.arange(beam.shape[1]), advance
    return matched


def _prune(beam: Floats) -> Floats:
    """Keep the best hypotheses, one of those that agree in tempo and phase."""
    b = _Beam
    near = np.flatnonzero(beam[b.SCORE] > beam[b.SCORE].max() - WORST_NATS)
    order = near[np.argsort(-beam[b.SCORE, near], kind="stable")]
    tempo = np.round(np.log2(beam[b.LENGTH, order]) * 2 * LENGTHS_PER_OCTAVE).astype(np.int64)
    key = beam[b.MATCHED, order].astype(np.int64) * 1000 + tempo + 500
    _, firsts = np.unique(key, return_index=True)
    return beam[:, order[np.sort(firsts)][:N_KEPT]]


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
    joined = join_fifths(laid)
    if joined is not None:
        laid, times = joined, fit_lines(own, joined)
    laid -= laid[0]
    return Pulse(first, last, laid, times, float(np.median(np.diff(times))), gain)
