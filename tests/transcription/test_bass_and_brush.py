"""A bass and a brush in turn: beats with the bass on one and three, or their halves with the bass on each beat.

Common practice, no source: country, bluegrass and folk in four, at 120 to 170 beats a minute, have the bass on one and
three, a brush on two and four, and another chord with each bar. A slow song that is played so in eighths has a chord
for eight strokes.
"""

from __future__ import annotations

import numpy as np
import pytest

from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings


def _count(*, stroke_s: float, strokes_a_chord: int, n_strokes: int = 64) -> Grid:
    """Count basses and brushes in turn, under chords that last so many strokes; some changes are not heard."""
    rng = np.random.default_rng(1)
    places = np.arange(n_strokes)
    is_bass = places % 2 == 0
    bass = np.clip(np.where(is_bass, 0.95, 0.3) + rng.normal(0.0, 0.15, n_strokes), 0.0, 1.0)
    lean = np.where(is_bass, 0.4, 1.2) + rng.normal(0.0, 1.1, n_strokes)
    is_change = (places % strokes_a_chord == 0) & (rng.random(n_strokes) > 0.1)
    onsets_s = 0.5 + stroke_s * places + rng.normal(0.0, 0.012, n_strokes)
    features = StrokeFeatures(onsets_s, rng.normal(0.0, 2.0, n_strokes), bass, lean, is_change)
    grid = find_grid(features, settings=PartSettings())
    assert grid is not None
    return grid


@pytest.mark.parametrize("bpm", [120.0, 132.0, 148.0, 160.0])
def test_a_chord_for_two_basses_and_two_brushes_is_a_bar(bpm: float) -> None:
    grid = _count(stroke_s=60.0 / bpm, strokes_a_chord=4)
    assert grid.metres[0].signature == "4/4"
    assert grid.metres[0].tempo_bpm == pytest.approx(bpm, rel=0.03)


@pytest.mark.parametrize("bpm", [66.0, 72.0, 80.0])
def test_a_slow_song_with_a_bass_on_each_beat_stays_slow(bpm: float) -> None:
    grid = _count(stroke_s=30.0 / bpm, strokes_a_chord=8)
    assert grid.metres[0].signature == "4/4"
    assert grid.metres[0].tempo_bpm == pytest.approx(bpm, rel=0.03)
