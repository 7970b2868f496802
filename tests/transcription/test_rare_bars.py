"""Where chords begin tells the bars: twelve eighths of a long part, and a bar of two beats among bars of four.

Common practice, no source: a slow blues has twelve eighths in a bar, all of them struck, and a chord for some bars; a
song may leave half a bar out where a verse ends.
"""

from __future__ import annotations

from dataclasses import replace

import mir_eval
import numpy as np
import pytest

from listen.export import render_chart
from listen.reading import BarLength, Metre
from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings
from listen.transcription.told_bars import tell_bars
from tests.hand_made_parts import Scene, straight_part

BLUES = (0, 1, 2, 4, 6, 8, 9, 10)  # bars with which another chord begins, of twelve
SWAY = (0.0, 1.0, 1.5, 2.0, 3.0, 3.5)  # beats of a bar


def _count(onsets_s: np.ndarray, way: np.ndarray, is_change: np.ndarray) -> Grid:
    """Count strokes of which little more is heard than where they are, and where chords begin."""
    rng = np.random.default_rng(5)
    n = len(onsets_s)
    lean = way + rng.normal(0.0, 1.0, n)
    features = StrokeFeatures(
        0.5 + onsets_s + rng.normal(0.0, 0.008, n), rng.normal(0.0, 1.0, n), 0.5 + 0.1 * np.tanh(lean), lean, is_change
    )
    grid = find_grid(features, settings=PartSettings())
    assert grid is not None
    return grid


@pytest.mark.parametrize("bpm", [56.0, 62.0, 70.0])
def test_chords_that_begin_every_twelve_eighths_are_counted_in_twelve(bpm: float) -> None:
    places = np.arange(12 * 12)
    is_change = np.isin(places, 12 * np.array(BLUES))
    grid = _count(20.0 / bpm * places, np.ones(len(places)), is_change)
    assert (grid.metres[0].signature, round(grid.metres[0].tempo_bpm)) == ("12/8", round(bpm))
    bars_s = np.array(grid.bars_s[:-1])
    assert mir_eval.onset.f_measure(0.5 + 240.0 / bpm * np.arange(12), bars_s, window=0.07)[0] > 0.95


def _play_fours(lengths: list[float], *, bpm: float = 108.0) -> tuple[Grid, np.ndarray]:
    """Play bars of so many beats, a chord each; return them, and where they begin."""
    begins = np.concatenate([[0.0], np.cumsum(lengths)[:-1]])
    beats = np.array(
        [begin + beat for begin, length in zip(begins, lengths, strict=True) for beat in SWAY if beat < length]
    )
    grid = _count(60.0 / bpm * beats, np.where(beats % 1.0 == 0.0, 1.0, -1.0), np.isin(beats, begins))
    return grid, 0.5 + 60.0 / bpm * begins


def test_half_a_bar_that_is_left_out_leaves_the_bars_after_it_on_their_chords() -> None:
    grid, begins_s = _play_fours([*[4.0] * 7, 2.0, *[4.0] * 8])
    assert mir_eval.onset.f_measure(begins_s, np.array(grid.bars_s[:-1]), window=0.07)[0] == 1.0
    assert (grid.slips, grid.lengths) == ((), (BarLength(8, 2),))
    assert np.diff(grid.beats_s) == pytest.approx(60.0 / 108.0, abs=0.03)  # none is counted that was not played
    assert tell_bars(grid, PartSettings(), n_strokes=99) == ()


@pytest.mark.parametrize("lengths", [[4.0] * 7 + [2.0] + [4.0] * 3, ([4.0] * 5 + [2.0]) * 2 + [4.0] * 4])
def test_half_a_bar_near_the_end_is_found_where_three_bars_come_after_it(lengths: list[float]) -> None:
    grid, _ = _play_fours(lengths)
    assert [one.bar for one in grid.lengths] == [at + 1 for at, length in enumerate(lengths) if length == 2.0]


def test_two_chords_in_some_bars_leave_nothing_out() -> None:
    grid, begins_s = _play_fours([*[4.0] * 4, 2.0, 2.0, *[4.0] * 3, 2.0, 2.0, *[4.0] * 4])
    assert not grid.slips
    assert not grid.lengths
    assert len(grid.bars_s) - 1 == len(begins_s) - 2


@pytest.mark.parametrize("bar_s", [2.9, 3.24, 3.6])
def test_one_stroke_a_bar_leaves_the_metre_in_doubt(bar_s: float) -> None:
    n = 12
    grid = _count(bar_s * np.arange(n), np.ones(n), np.ones(n, bool))
    likely = {metre.signature: metre.probability for metre in reversed(grid.metres)}
    assert grid.metres[0].signature == "4/4"
    assert likely["3/4"] > 0.05
    assert np.diff(grid.bars_s)[:-1].mean() == pytest.approx(bar_s, rel=0.02)
    assert len(grid.beats_s) == pytest.approx(4 * n, abs=1)


@pytest.mark.parametrize("bar_s", [2.9, 3.6])
def test_the_head_of_a_chart_says_once_what_one_stroke_a_bar_does_not_tell(bar_s: float) -> None:
    n = 12
    grid = _count(bar_s * np.arange(n), np.ones(n), np.ones(n, bool))
    scene = Scene(Metre(4, 4, 2, 240.0 / bar_s))
    for bar in range(1, n + 1):
        scene.chord(*(("C", "x32010") if bar % 2 else ("G", "320003")))
        scene.strum(bar, 0)
    part = scene.part(n)
    once = replace(part, bars=replace(part.bars, metres=grid.metres))
    said = " ".join(render_chart(once).split())
    assert "beats a minute, perhaps 3/4 (one stroke a bar): --metre 3/4" in said
    assert said.count("one stroke") == 1
    likely = tuple(replace(metre, probability=0.3) for metre in grid.metres)
    assert "Perhaps" not in render_chart(replace(part, bars=replace(part.bars, metres=likely)))
    told = replace(part, bars=replace(part.bars, metres=grid.metres[:1]))
    assert "one stroke" not in render_chart(told)
    twice = replace(straight_part(), bars=replace(straight_part().bars, metres=grid.metres))
    assert "one stroke" not in render_chart(twice)
