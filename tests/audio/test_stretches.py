"""Strokes cut into stretches that sound alike."""

from __future__ import annotations

import numpy as np

from listen.audio.stretches import cut_stretches


def test_a_change_is_cut_where_the_spectrum_turns() -> None:
    rng = np.random.default_rng(1)
    one, other = rng.random(56) ** 4, rng.random(56) ** 4
    profiles = np.array([one] * 5 + [other] * 3) * rng.uniform(0.8, 1.2, (8, 56))
    assert cut_stretches(profiles) == [(0, 4), (5, 7)]
