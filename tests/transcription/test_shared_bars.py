"""A chord that lasts half of every bar lasts a whole one of half the length: how long chords last counts bars."""

from __future__ import annotations

import numpy as np
import pytest

from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings

QUARTER_S = 0.5


def _count(*, n_chords: int, quarters: list[int]) -> Grid:
    """Count down and up in quarters, unevenly, under chords that last so many of them."""
    rng = np.random.default_rng(3)
    n = n_chords * sum(quarters) // len(quarters)
    begins = np.cumsum([0, *quarters * n_chords])
    onsets_s = 0.5 + QUARTER_S * np.arange(n) + rng.normal(0.0, 0.015, n)
    lean = np.where(np.arange(n) % 2 == 0, 1.0, -1.0) + rng.normal(0.0, 1.0, n)
    features = StrokeFeatures(
        onsets_s, rng.normal(0.0, 1.0, n), np.clip(0.5 + 0.2 * lean, 0.0, 1.0), lean, np.isin(np.arange(n), begins)
    )
    grid = find_grid(features, settings=PartSettings())
    assert grid is not None
    return grid


def test_chords_of_four_quarters_make_bars_of_four() -> None:
    grid = _count(n_chords=16, quarters=[4])
    assert np.diff(grid.bars_s).mean() == pytest.approx(4 * QUARTER_S, rel=0.03)


def test_a_bar_with_two_chords_now_and_then_is_one() -> None:
    grid = _count(n_chords=20, quarters=[8, 8, 4, 4])
    assert np.diff(grid.bars_s).mean() == pytest.approx(8 * QUARTER_S, rel=0.03)
