"""Strokes keep the time of the hand, and syllables do not: what a pulse adds to how likely a stroke is a voice's.

A pulse is drawn through what may be strokes, the doubtful ones counting less; one that lies on a step of it is then
more likely a stroke than it was by its sound, one between steps less. That is done twice, since the second pulse is
drawn with better doubts. Where nobody speaks, nothing is doubtful and nothing changes.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from listen.transcription.pulse import LEAST_STROKES, make_lengths
from listen.transcription.pulse_tracking import BEGIN, STRAY, track_steps
from listen.transcription.step_grid import find_phases, fit_lines

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ON_STEP, ON_STEP_SD_S = 0.95, 0.03
"""How often a true stroke lies on a step, and how near (judged). Over 31 parts (`tests/benchmarks/people.py`) onsets go
from F .884 to .910, in those with a voice by .04 to .14; in one of them by −.014; in no part without."""
USUAL_STEP_S = 0.85
"""Of longer steps more strokes lie between: a hand that strikes once a bar may strike at half of one, too (judged;
onsets of 24 parts joined from recorded strums go from .943 to .942, with .6 to .938)."""
SURE_VOICE = 0.9  # what is more likely a voice is not asked for its time
ROUNDS = 2  # judged
LEAST_CHANCE = 1e-6  # keeps odds finite


def weigh_in_time(onsets_s: Floats, chances: Floats) -> Floats:
    """Weigh again how likely each stroke is a voice's, now that all of them are known.

    Parameters
    ----------
    onsets_s : ndarray, shape (n_strokes,)
    chances : ndarray, shape (n_strokes,)
        By their sound, 0..1.

    Returns
    -------
    ndarray, shape (n_strokes,)
    """
    said = np.clip(chances, LEAST_CHANCE, 1.0 - LEAST_CHANCE)
    if said.max(initial=0.0) < 1.0 - ON_STEP:
        return said  # no time is as odd as that a sound so sure is doubted
    weighed = said
    for _ in range(ROUNDS):
        asked = np.flatnonzero(weighed < SURE_VOICE)
        if len(asked) < LEAST_STROKES:
            break
        odds = said / (1.0 - said) / _weigh_timing(onsets_s, asked, weighed[asked])
        weighed = odds / (1.0 + odds)
    return np.asarray(weighed)


def _weigh_timing(onsets_s: Floats, asked: Ints, doubts: Floats) -> Floats:
    """Return how much likelier each stroke's time is for a hand than for a voice, by the pulse through some of them."""
    ratios = np.ones(len(onsets_s))
    advances, _ = track_steps(onsets_s[asked], make_lengths(), doubts=doubts)
    begins = np.flatnonzero(advances == BEGIN).tolist()
    for first, after in pairwise([*begins, len(asked)]):
        on = first + np.flatnonzero(advances[first:after] != STRAY)
        if len(on) < LEAST_STROKES:
            continue
        times_s = fit_lines(onsets_s[asked[on]], np.cumsum(np.maximum(advances[on], 0)))
        own = slice(int(asked[first]), int(asked[after - 1]) + 1)
        phases = find_phases(onsets_s[own], times_s)
        step_s = float(np.median(np.diff(times_s)))
        on_step = ON_STEP ** max(1.0, step_s / USUAL_STEP_S)
        off = (phases - np.round(phases)) * step_s / ON_STEP_SD_S
        near = np.exp(-0.5 * off**2) / (ON_STEP_SD_S * np.sqrt(2.0 * np.pi))
        ratios[own] = on_step * step_s * near + 1.0 - on_step
    return ratios
