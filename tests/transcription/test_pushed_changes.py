"""Chords that are pushed, each struck an eighth before its bar line and held over it: the bars stay where they are.

Common practice, no source: the hand goes down on the beat and up between, so a chord that comes early is struck on the
way up, and the hand swings on over the bar line.
"""

from __future__ import annotations

import mir_eval
import numpy as np
import pytest

from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings

N_BARS = 12
SWAY, EIGHTHS = (0.0, 1.0, 1.5, 2.5, 3.0, 3.5), tuple(0.5 * place for place in range(8))  # beats of a bar


def _count(pattern: tuple[float, ...], *, bpm: float, pushed: bool) -> tuple[Grid, list[float]]:
    """Count a pattern, down on the beat and up between, a new chord a bar; and tell where its bars begin."""
    rng = np.random.default_rng(4)
    beats = np.array([4.0 * bar + beat for bar in range(N_BARS) for beat in pattern])
    if pushed:  # held over the bar line
        beats = beats[(beats % 4.0 > 0.0) | (beats == 0.0)]
    is_change = (beats == 0.0) | (beats % 4.0 == (3.5 if pushed else 0.0))
    onsets_s = 0.5 + 60.0 / bpm * beats + rng.normal(0.0, 0.008, len(beats))
    way = np.where(beats % 1.0 == 0.0, 1.0, -1.0)
    lean = way + rng.normal(0.0, 1.0, len(beats))
    levels_db, bass = way + rng.normal(0.0, 1.0, len(beats)), np.clip(0.5 + 0.2 * lean, 0.0, 1.0)
    grid = find_grid(StrokeFeatures(onsets_s, levels_db, bass, lean, is_change), settings=PartSettings())
    assert grid is not None
    return grid, [0.5 + 240.0 / bpm * bar for bar in range(N_BARS)]


@pytest.mark.parametrize("pushed", [True, False])
@pytest.mark.parametrize("pattern", [SWAY, EIGHTHS])
@pytest.mark.parametrize("bpm", [80.0, 104.0, 128.0, 150.0])
def test_bars_begin_with_the_beat_however_early_their_chords_come(
    pattern: tuple[float, ...], bpm: float, pushed: bool
) -> None:
    grid, bars_s = _count(pattern, bpm=bpm, pushed=pushed)
    assert grid.metres[0].signature == "4/4"
    assert grid.metres[0].tempo_bpm == pytest.approx(bpm, rel=0.03)
    assert mir_eval.onset.f_measure(np.array(bars_s), np.array(grid.bars_s[:-1]), window=0.07)[0] > 0.95
