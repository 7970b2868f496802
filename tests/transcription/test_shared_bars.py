"""A chord that lasts half of every bar lasts a whole one of half the length: how long chords last counts bars."""

from __future__ import annotations

import numpy as np
import pytest

from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings

STROKE_S = 0.5


def _count(*, n_chords: int, lengths: list[int], stroke_s: float = STROKE_S, louder_db: float = 0.0) -> Grid:
    """Count strokes down and up, unevenly, under chords that last so many of them."""
    rng = np.random.default_rng(3)
    n = n_chords * sum(lengths) // len(lengths)
    begins = np.cumsum([0, *lengths * n_chords])
    onsets_s = 0.5 + stroke_s * np.arange(n) + rng.normal(0.0, 0.015, n)
    lean = np.where(np.arange(n) % 2 == 0, 1.0, -1.0) + rng.normal(0.0, 1.0, n)
    levels_db = rng.normal(0.0, 1.0, n) + np.where(np.arange(n) % 8 == 0, louder_db, 0.0)
    features = StrokeFeatures(
        onsets_s, levels_db, np.clip(0.5 + 0.2 * lean, 0.0, 1.0), lean, np.isin(np.arange(n), begins)
    )
    grid = find_grid(features, settings=PartSettings())
    assert grid is not None
    return grid


def test_chords_of_four_strokes_make_bars_of_four() -> None:
    grid = _count(n_chords=16, lengths=[4])
    assert np.diff(grid.bars_s).mean() == pytest.approx(4 * STROKE_S, rel=0.03)


def test_a_chord_that_changes_in_every_other_bar_makes_no_bars_half_as_long() -> None:
    grid = _count(n_chords=24, lengths=[8, 4, 4])
    assert np.diff(grid.bars_s).mean() == pytest.approx(8 * STROKE_S, rel=0.03)


def test_two_chords_a_bar_are_common_where_beats_are_not_slow() -> None:
    # eighths at 96, a chord every four of them: bars of half the length would have beats at 192
    grid = _count(n_chords=24, lengths=[4], stroke_s=60.0 / 96 / 2, louder_db=2.0)
    assert np.diff(grid.bars_s).mean() == pytest.approx(4 * 60.0 / 96, rel=0.03)
