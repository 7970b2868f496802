"""The pulse under a row of strokes: found where a hand leaves out most steps, and not where there is none.

Rows are drawn by chance. How unevenly people strike is that of recorded takes: a beat lies 24 to 41 ms from the line
through its neighbours (:mod:`tests.benchmarks.people_scenes` says where that comes from).
"""

from __future__ import annotations

import numpy as np

from listen.transcription.pulse import find_pulses

N_ROWS, N_STROKES = 60, 40
EIGHTH_S = 0.25
THREE_THREE_TWO = np.tile([3, 3, 2], 14)[: N_STROKES - 1]


def _is_followed(seed: int) -> bool:
    """Play three, three and two eighths unevenly, ever faster, and follow them."""
    rng = np.random.default_rng(seed)
    lengths_s = EIGHTH_S * np.linspace(1.0, 0.85, N_STROKES - 1)
    onsets_s = np.append(0.0, np.cumsum(THREE_THREE_TWO * lengths_s)) + rng.normal(0.0, 0.03, N_STROKES)
    pulses = find_pulses(onsets_s)
    return len(pulses) == 1 and bool((np.diff(pulses[0].steps) == THREE_THREE_TWO).mean() > 0.9)


def test_a_hand_that_leaves_out_five_steps_of_eight_is_followed() -> None:
    assert sum(map(_is_followed, range(N_ROWS))) >= 0.9 * N_ROWS


def test_a_hand_that_strikes_three_steps_of_ten_without_a_pattern_is_followed() -> None:
    followed = 0
    for seed in range(30):
        rng = np.random.default_rng(seed)
        steps = np.flatnonzero(rng.random(110) < 0.3)
        pulses = find_pulses(EIGHTH_S * steps + rng.normal(0.0, 0.02, len(steps)))
        followed += len(pulses) == 1 and bool((np.diff(pulses[0].steps) == np.diff(steps)).mean() > 0.9)
    assert followed >= 24


def test_free_time_has_no_pulse() -> None:
    assert find_pulses(np.cumsum(np.random.default_rng(4).gamma(1.2, 0.6, N_STROKES))) == ()
    found = {"exponential": 0, "log-normal": 0, "gamma": 0}
    for seed in range(N_ROWS):
        rng = np.random.default_rng(seed)
        found["exponential"] += find_pulses(np.cumsum(0.08 + rng.exponential(0.7, N_STROKES))) != ()
        found["log-normal"] += find_pulses(np.cumsum(0.7 * np.exp(rng.normal(0.0, 0.5, N_STROKES)))) != ()
        found["gamma"] += find_pulses(np.cumsum(rng.gamma(4.0, 0.7 / 4.0, N_STROKES))) != ()
    assert max(found.values()) <= 0.15 * N_ROWS, found


def test_a_bar_that_is_held_begins_no_new_tempo() -> None:
    eighths, held = [0.25] * 56, [2.0]
    gaps_s = np.array((eighths + held) * 5)
    onsets_s = np.cumsum(gaps_s) + np.random.default_rng(0).normal(0.0, 0.012, len(gaps_s))
    assert len(find_pulses(onsets_s)) == 1
