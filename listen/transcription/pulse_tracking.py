"""The step under a row of strokes, followed from stroke to stroke: how long it is, and which stroke lies where on it.

Tempo is a state: after each stroke a hypothesis knows when its last step fell and how long a step is, with their
covariance (a Kalman filter); the next stroke lies one, two … steps on, or between steps, or comes after a hesitation,
or begins a new tempo. A hand repeats itself: what came so many strokes ago, and so many before that, most likely comes
again, so steps that a pattern leaves out each time cost little. The best few hundred hypotheses are kept, all of them
worked on at once.

References
----------
A. T. Cemgil, B. Kappen, "Monte Carlo methods for tempo tracking and rhythm quantization", JAIR 18, 2003 (the switching
Kalman filter over score positions). N. Whiteley, A. T. Cemgil, S. Godsill, "Bayesian modelling of temporal structure
in musical audio", ISMIR 2006 (tempo as a state that moves).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHORTEST_STEP_S, LONGEST_STEP_S = 0.1, 1.2  # sixteenths at 150 beats a minute; a beat at 50
LENGTHS_PER_OCTAVE = 18  # neighbours are 4 % apart, which the filter closes
ONSET_SD_S = 0.022  # of strokes from their steps: 24 to 41 ms of beats of recorded takes, tempo and all; judged
TEMPO_SD = 0.02  # of its length, by which a step may be longer than the one before
STRUCK, STRUCK_STEPS, LEAST_STRUCK, MOST_STRUCK = 0.6, 10.0, 0.45, 0.75
"""Share of steps that carry a stroke, and how many steps that is worth against those of the part: a hand that strikes
three, three and two eighths leaves five of eight out. Least and most: on ever fewer struck steps any row of strokes
lies, and where a hand has struck them all a bar that is held would begin another tempo."""
LONGEST_PATTERN = 8  # strokes
PATTERN_SHARE, PATTERN_STROKES, MOST_REPEATS = 0.5, 5.0, 16.0
"""How often a hand that has a pattern keeps to it, after how many strokes of it that is half believed, and how many
count. With it the metre of 196 parts (`benchmarks.people`, `benchmarks.songs`) goes from .903 right to .939, beats from
.925 to .944; rows of `benchmarks.pulse`, which are even, gain nothing."""
STRAY_A_SECOND = 0.08  # strokes on no step; judged
VOICES_A_SECOND = 2.5  # syllables that are taken for strokes, where somebody speaks (judged, not measured)
HESITATES, HESITATION_SD = 0.01, 0.35  # how often; in steps
RESTART_NATS = 9.0  # what a new tempo costs; judged
LONG_GAP_S, LONG_GAP_NATS = 2.5, 4.0  # after a longer rest a new tempo costs so much less
MOST_EMPTY = 6  # steps without a stroke: more say no more
N_KEPT, WORST_NATS = 200, 14.0  # behind the best
STRAY, BEGIN = -1, -2  # in place of a count of steps


class _Beam:
    """Hypotheses after a stroke: a column each.

    Rows: when the last step fell, how long a step is, their three covariances, the score, the last stroke on a step,
    the hypothesis that it came from, how (steps on, or :data:`STRAY`, :data:`BEGIN`); how many steps were struck, and
    how many in all, with those that are taken for granted; of the last strokes, latest first, their counts of steps,
    and for each how many strokes in a row had the count of the stroke so many before.
    """

    AT, LENGTH, VAR_AT, COV, VAR_LENGTH, SCORE, MATCHED, PARENT, HOW, N_STRUCK, N_STEPS = range(11)
    ADVANCES = slice(11, 11 + LONGEST_PATTERN)
    REPEATS = slice(11 + LONGEST_PATTERN, 11 + 2 * LONGEST_PATTERN)
    N_ROWS = 11 + 2 * LONGEST_PATTERN


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
    beam = np.zeros((b.N_ROWS, len(lengths_s)))
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
    struck = np.clip(beam[b.N_STRUCK] / beam[b.N_STEPS], LEAST_STRUCK, MOST_STRUCK)
    same, repeats = beam[b.ADVANCES] == advance, beam[b.REPEATS]
    lag = repeats.argmax(axis=0)[None]
    n_repeats, comes_again = (np.take_along_axis(row, lag, axis=0)[0] for row in (repeats, same))
    kept = PATTERN_SHARE * n_repeats / (n_repeats + PATTERN_STROKES)
    likely = (1.0 - kept) * struck * (1.0 - struck) ** empty + kept * comes_again
    matched[b.SCORE] = beam[b.SCORE] - 0.5 * (off * off / var + np.log(2 * np.pi * var)) + np.log(likely)
    matched[b.REPEATS] = np.where(same, np.minimum(repeats + 1.0, MOST_REPEATS), 0.0)
    matched[b.ADVANCES] = np.concatenate([advance[None], beam[b.ADVANCES][:-1]])
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
