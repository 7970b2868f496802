"""A Charleston in swung four: strokes on one and halfway after two are no bar of five beats.

Common practice, no source: who plays chords behind a swing tune strikes on one and on the swung half after two, 54 to
67 hundredths after the beat, in some bars otherwise.
"""

from __future__ import annotations

import mir_eval
import numpy as np
import pytest

from listen.transcription.grid import StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings

N_BARS, OTHER_BARS = 14, (9, 12)  # of those, some are struck on one and three


@pytest.mark.parametrize("others", [(), OTHER_BARS])
@pytest.mark.parametrize("swing", [0.58, 0.62, 0.66])
@pytest.mark.parametrize("bpm", [112.0, 126.0, 160.0])
def test_one_and_the_swung_half_after_two_are_a_bar_of_four(bpm: float, swing: float, others: tuple[int, ...]) -> None:
    rng = np.random.default_rng(2)
    bars = np.repeat(np.arange(N_BARS), 2)
    later = np.where(np.isin(bars, others), 2.0, 1.0 + swing)
    beats = 4.0 * bars + np.where(np.arange(2 * N_BARS) % 2 == 0, 0.0, later)
    n = len(beats)
    onsets_s = 0.5 + 60.0 / bpm * beats + rng.normal(0.0, 0.008, n)
    features = StrokeFeatures(
        onsets_s, rng.normal(0.0, 1.5, n), rng.random(n), 1.0 + rng.normal(0.0, 1.0, n), beats % 4.0 == 0.0
    )
    grid = find_grid(features, settings=PartSettings())
    assert grid is not None
    assert grid.metres[0].signature == "4/4"
    assert grid.metres[0].tempo_bpm == pytest.approx(bpm, rel=0.03)
    assert grid.metres[0].swing == pytest.approx(swing, abs=0.04)
    bars_s = 0.5 + 240.0 / bpm * np.arange(N_BARS)
    assert mir_eval.onset.f_measure(bars_s, np.array(grid.bars_s[:-1]), window=0.07)[0] > 0.95
