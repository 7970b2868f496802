"""Tempo, metre and bar lines that a person told: taken, or said in a sentence why not."""

from __future__ import annotations

import numpy as np
import pytest

from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings
from listen.transcription.told_bars import tell_bars


def _find(onsets_s: list[float], settings: PartSettings) -> Grid:
    """Find the bars of strokes that say nothing but when they come."""
    n = len(onsets_s)
    nothing = np.zeros(n)
    features = StrokeFeatures(np.array(onsets_s), np.full(n, -6.0), nothing, nothing, np.zeros(n, np.bool_))
    grid = find_grid(features, settings=settings)
    assert grid is not None
    return grid


def test_beats_and_bar_lines_rise_however_unevenly_strokes_come() -> None:
    """Equal times made a document that the program then refused to read."""
    onsets_s = [
        11.69, 11.82, 12.04, 12.89, 13.84, 14.09, 14.54, 14.58, 14.8, 14.96, 15.04, 15.28, 15.49, 16.0, 17.39, 17.45,
        17.49, 17.83, 17.87, 17.95, 19.52, 19.56,
    ]  # fmt: skip
    grid = _find(onsets_s, PartSettings(tempo_bpm=87.064, bar_one_s=7.414))
    assert np.diff(grid.beats_s).min() > 0.0
    assert np.diff(grid.bars_s).min() > 0.0


@pytest.mark.parametrize(
    ("settings", "what"),
    [(PartSettings(bar_one_s=3.1), "bar 1 begins"), (PartSettings(bar_lines_s=(3.1,)), "a bar begins")],
)
def test_a_bar_line_that_is_told_between_two_strokes_is_refused_bar_one_too(settings: PartSettings, what: str) -> None:
    onsets_s = [1.0 + 0.6 * stroke for stroke in range(16)]
    (said,) = tell_bars(_find(onsets_s, settings), settings, n_strokes=16)
    assert said.startswith(f"You told that {what} at 0:03.1, but the nearest bar line lies 0.3 s away")
