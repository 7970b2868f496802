"""A bass and a brush in turn: beats with the bass on one and three, or their halves with the bass on each beat.

Common practice, no source: country, bluegrass and folk in four, at 120 to 170 beats a minute, have the bass on one and
three, a brush on two and four, and another chord with each bar. A slow song that is played so in eighths has a chord
for eight strokes.
"""

from __future__ import annotations

import numpy as np
import pytest

from listen.evidence import StrokeEvidence
from listen.transcription.bass_returns import find_returns
from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings


def _count(*, stroke_s: float, strokes_a_chord: int, n_strokes: int = 64, thumb: str = "") -> Grid:
    """Count basses and brushes in turn, under chords that last so many strokes; some changes are not heard.

    The thumb's basses in turn are the one that the chord began with, `+`, or another, `-`; some are misheard.
    """
    rng = np.random.default_rng(1)
    places = np.arange(n_strokes)
    is_bass = places % 2 == 0
    bass = np.clip(np.where(is_bass, 0.95, 0.3) + rng.normal(0.0, 0.15, n_strokes), 0.0, 1.0)
    lean = np.where(is_bass, 0.4, 1.2) + rng.normal(0.0, 1.1, n_strokes)
    is_change = (places % strokes_a_chord == 0) & (rng.random(n_strokes) > 0.1)
    onsets_s = 0.5 + stroke_s * places + rng.normal(0.0, 0.012, n_strokes)
    returns = np.zeros(n_strokes)
    if thumb:
        played = np.array([1.0 if thumb[place // 2 % len(thumb)] == "+" else -1.0 for place in places])
        returns = np.where(rng.random(n_strokes) < 0.1, -played, played) * (is_bass & ~is_change)
    features = StrokeFeatures(onsets_s, rng.normal(0.0, 2.0, n_strokes), bass, lean, is_change, returns)
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


@pytest.mark.parametrize("bpm", [104.0, 120.0, 132.0, 148.0])
def test_a_thumb_that_is_back_on_its_root_after_two_basses_begins_a_bar_there(bpm: float) -> None:
    grid = _count(stroke_s=60.0 / bpm, strokes_a_chord=8, thumb="+-")
    assert grid.metres[0].signature == "4/4"
    assert grid.metres[0].tempo_bpm == pytest.approx(bpm, rel=0.03), "one chord for two bars"


@pytest.mark.parametrize("thumb", ["+--+++-+", "+", "+---"])
@pytest.mark.parametrize("bpm", [66.0, 72.0, 80.0])
def test_a_slow_song_whose_thumb_goes_anywhere_stays_slow(bpm: float, thumb: str) -> None:
    grid = _count(stroke_s=30.0 / bpm, strokes_a_chord=8, thumb=thumb)
    assert grid.metres[0].tempo_bpm == pytest.approx(bpm, rel=0.03)


def _strike(*midis: int) -> StrokeEvidence:
    """A stroke at which so many pitches rise, and all others that ring fall."""
    rings = dict.fromkeys((48, 52, 55, 60, 64), -1.5)
    return StrokeEvidence(0.0, -20.0, rises=rings | dict.fromkeys(midis, 8.0))


def test_a_bass_is_known_as_the_one_that_its_chord_began_with() -> None:
    brush = _strike(55, 60, 64)
    strokes = [_strike(48), brush, _strike(52), brush, _strike(48, 60), brush, _strike(43), brush]
    assert find_returns(strokes, {0}).tolist() == [0, 0, -1, 0, 1, 0, -1, 0]
    assert not find_returns(strokes, {1}).any(), "a chord that is brushed first has no bass to return to"
