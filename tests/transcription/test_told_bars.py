"""Tempo, metre and bar lines that a person told: taken, or said in a sentence why not."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from listen.errors import BadValueError
from listen.export.bars import lay_bars
from listen.export.tempo_marks import find_shown_metre, find_tempo_marks
from listen.reading import BarLength, Correction
from listen.transcription.grid import SLIP_NATS, Grid, StrokeFeatures, _count_strokes, find_grid
from listen.transcription.part_settings import PartSettings
from listen.transcription.pulse import find_pulses
from listen.transcription.told_bars import tell_bars
from listen.transcription.told_steps import check_bar_lines
from tests.hand_made_parts import straight_part


def _find(onsets_s: list[float], settings: PartSettings, changes: tuple[int, ...] = ()) -> Grid:
    """Find the bars of strokes that say nothing but when they come, and at which of them a chord begins."""
    n = len(onsets_s)
    nothing = np.zeros(n)
    features = StrokeFeatures(np.array(onsets_s), np.full(n, -6.0), nothing, nothing, np.isin(np.arange(n), changes))
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
    said, *short = tell_bars(_find(onsets_s, settings), settings, n_strokes=16)
    assert said.startswith(f"You told that {what} at 0:03.1, but the nearest bar line lies 0.3 s away")
    assert all(one.startswith("Bar 1 has 1 beat") for one in short)  # the strokes on both sides are as near: it may be


def test_two_told_bar_lines_that_are_one_are_said() -> None:
    onsets_s = [1.0 + 0.6 * stroke for stroke in range(16)]
    settings = PartSettings(bar_lines_s=(3.4, 3.45))
    (said,) = tell_bars(_find(onsets_s, settings), settings, n_strokes=16)[:1]
    assert said.startswith("You told that bars begin at 0:03.40 and at 0:03.45: no bar is so short")
    once = PartSettings(bar_lines_s=(3.4,))
    assert not any("so short" in one for one in tell_bars(_find(onsets_s, once), once, n_strokes=16))


@pytest.mark.parametrize("told", [113.0, 150.0, 400.0])
def test_a_tempo_that_is_not_the_players_is_said_beside_the_one_that_the_head_shows(told: float) -> None:
    """Eight bars at 95 beats a minute, then eight at 115, in eighths: nothing was said of 113."""
    steps_s = np.repeat([30.0 / 95.0, 30.0 / 115.0], 64)
    settings = PartSettings(tempo_bpm=told, metre=(4, 4))
    grid = _find((1.0 + np.cumsum(steps_s)).tolist(), settings)
    (said,) = tell_bars(grid, settings, n_strokes=128)
    run = re.search(rf"You told the tempo {told:g}, but .*the bars run from (\d+) to (\d+) beats a minute", said)
    assert run is not None
    part = replace(straight_part(), bars=grid.bars)
    shown = find_shown_metre(part, lay_bars(part).played)
    assert shown is not None
    assert int(run[1]) <= round(shown.tempo_bpm) <= int(run[2])


def test_a_told_tempo_that_no_step_fits_decides_the_level() -> None:
    """A player at 115 strikes eighths, 230 a minute: told 400, those are the beats."""
    settings = PartSettings(tempo_bpm=400.0)
    grid = _find([1.0 + 30.0 / 115.0 * stroke for stroke in range(64)], settings)
    assert round(grid.metres[0].tempo_bpm) == 230


def test_a_pickup_is_in_no_tempo_that_is_said() -> None:
    settings = PartSettings(tempo_bpm=100.0, metre=(4, 4), bar_one_s=1.0)
    onsets_s = [0.9, *(1.0 + 0.3 * stroke for stroke in range(64))]  # a third of a step late
    grid = _find(onsets_s, settings)
    assert grid.metres[0].pickup_steps
    assert tell_bars(grid, settings, n_strokes=65) == ()


def test_of_a_told_tempo_that_is_kept_nothing_is_said() -> None:
    settings = PartSettings(tempo_bpm=100.0)
    onsets_s = [1.0 + 0.3 * stroke for stroke in range(64)]
    assert tell_bars(_find(onsets_s, settings), settings, n_strokes=64) == ()


def test_a_short_bar_before_a_told_bar_line_is_said() -> None:
    """After a rest five eighths lead into the bar that is told: they were written as a whole bar without a word."""
    before, after = 1.0 + 0.3 * np.arange(32), 13.3 + 0.27 * np.arange(29)
    onsets_s = np.concatenate([before, after])
    settings = PartSettings(metre=(4, 4), bar_lines_s=(float(after[5]),))
    grid = _find(onsets_s.tolist(), settings, changes=(0, 8, 16, 24, 37, 45, 53))
    (said,) = tell_bars(grid, settings, n_strokes=61)
    assert said == "Bar 5 has 2½ beats, and is written with 4."


def _drop_two_beats() -> tuple[list[float], tuple[int, ...], list[float]]:
    """Return eighths at 100 beats a minute, a chord for each bar, and their bar lines: the sixth bar has two beats."""
    lines = [1.0 + 2.4 * bar for bar in range(6)]
    lines += [lines[-1] + 1.2 + 2.4 * bar for bar in range(6)]
    onsets_s = [1.0 + 0.3 * stroke for stroke in range(8 * 11 - 4)]
    changes = tuple(int(np.abs(np.array(onsets_s) - line).argmin()) for line in lines[:-1])
    return onsets_s, changes, lines


@pytest.mark.parametrize("bar_one_s", [None, 1.0])
def test_before_a_told_bar_line_bars_stay_and_only_the_short_one_is_short(bar_one_s: float | None) -> None:
    """Half a bar was dropped: with the next line told, the bars before it moved, or two of them were bent."""
    onsets_s, changes, lines = _drop_two_beats()
    settings = PartSettings(bar_one_s=bar_one_s, bar_lines_s=(lines[6],))
    grid = _find(onsets_s, settings, changes)
    assert grid.metres[0].signature == "4/4"
    assert grid.first_bar == 1
    assert np.abs(np.array(grid.bars_s[:11]) - lines[:11]).max() < 0.02
    assert tell_bars(grid, settings, n_strokes=len(onsets_s)) == ()
    assert grid.lengths == (BarLength(6, 2),)
    assert find_tempo_marks(lay_bars(replace(straight_part(), bars=grid.bars)).played) == {}


def test_a_bar_line_that_is_where_it_was_read_changes_nothing() -> None:
    onsets_s = [1.0 + 0.3 * stroke for stroke in range(64)]
    changes = tuple(range(0, 64, 8))
    settings = PartSettings(bar_lines_s=(1.0 + 2.4 * 3,))
    grid = _find(onsets_s, settings, changes)
    read = _find(onsets_s, PartSettings(), changes)
    assert grid.bars_s == pytest.approx(read.bars_s)
    assert grid.slips == ()


def test_a_stroke_between_two_steps_is_no_hesitation() -> None:
    """A chord taken on the last half beat and tied over made a slip cheap: its bar began half a second early."""
    onsets_s = np.array([*(1.0 + 0.5 * stroke for stroke in range(32)), 16.7, 17.5, 18.0, 18.5])
    nothing = np.zeros(len(onsets_s))
    features = StrokeFeatures(onsets_s, nothing, nothing, nothing, nothing > 0)
    (pulse,) = find_pulses(onsets_s)
    assert _count_strokes(features, pulse).slip_costs.min() > 0.9 * SLIP_NATS
    waits_s = onsets_s + np.where(onsets_s > 10.2, 0.2, 0.0)
    (pulse,) = find_pulses(waits_s)
    assert _count_strokes(replace(features, onsets_s=waits_s), pulse).slip_costs[19] < 0.6 * SLIP_NATS


def test_a_told_tempo_that_is_left_for_a_while_is_said() -> None:
    """Four bars amid the others at 133 beats a minute: a chart marks them, and nothing was said."""
    steps_s = np.concatenate([np.full(64, 0.3), np.full(32, 0.225), np.full(64, 0.3)])
    settings = PartSettings(tempo_bpm=100.0, metre=(4, 4))
    grid = _find((1.0 + np.cumsum(steps_s)).tolist(), settings)
    (said,) = (one for one in tell_bars(grid, settings, n_strokes=160) if one.startswith("You told the tempo"))
    assert "run from 100 to 13" in said


def test_a_bar_line_before_the_first_stroke_is_refused() -> None:
    for time_s in (0.0, 1.8):
        with pytest.raises(BadValueError, match=r"bar-line=0:0.*from the first stroke on, at 0:02.00"):
            check_bar_lines(PartSettings(bar_lines_s=(9.0, time_s)), 2.0)
    check_bar_lines(PartSettings(bar_lines_s=(1.95, 9.0)), 2.0)
    kept = Correction("bar line", "0:00")  # by an earlier reading, from further to the front
    check_bar_lines(PartSettings(bar_lines_s=(0.0,), corrections=(kept,), kept=(kept,)), 2.0)
    onsets_s = [2.0 + 0.3 * stroke for stroke in range(64)]
    changes = tuple(range(0, 64, 8))
    assert _find(onsets_s, PartSettings(bar_lines_s=(0.0,)), changes).bars_s == pytest.approx(
        _find(onsets_s, PartSettings(), changes).bars_s
    )


def test_six_eighths_that_are_told_are_counted_alike_where_the_hand_strikes_oftener() -> None:
    """Half the part in quarters, half with an eighth more, by a hand: two bars were one, then came double tempo."""
    quarters = [1.0 + 0.45 * stroke for stroke in range(24)]
    busier = [quarters[-1] + 0.45 + 1.35 * bar + at for bar in range(8) for at in (0.0, 0.45, 0.9, 1.125)]
    onsets_s = (np.array([*quarters, *busier]) + np.random.default_rng(0).normal(0.0, 0.02, 56)).tolist()
    changes = (*range(0, 24, 3), *range(24, 56, 4))
    settings = PartSettings(metre=(6, 8))
    grid = _find(onsets_s, settings, changes)
    assert len(grid.tempos) == 1
    assert grid.slips == ()
    lengths_s = np.diff(grid.bars_s)
    assert lengths_s == pytest.approx(np.full(len(lengths_s), 1.35), rel=0.05)


@pytest.mark.parametrize(("steps", "said"), [(14, "1.2 beats"), (29, "2.4 beats"), (12, "1 beat"), (16, "1⅓ beats")])
def test_a_bar_that_two_feels_share_is_told_in_tenths_of_a_beat(steps: int, said: str) -> None:
    grid = replace(_find([0.5 * at for at in range(33)], PartSettings(metre=(4, 4))), slips=((2, 4.0 - steps / 12),))
    settings = PartSettings(bar_lines_s=(grid.bars_s[1],))
    assert tell_bars(grid, settings, n_strokes=33) == (f"Bar 2 has {said}, and is written with 4.",)


@pytest.mark.parametrize(
    ("bar_one_s", "first_bar"),
    [(None, 0), (3.1, 0), (0.7, 1), (0.6, 1), (-1.7, 2), (5.5, -1)],
)
def test_bar_one_before_the_first_stroke_is_where_a_whole_bar_begins(bar_one_s: float | None, first_bar: int) -> None:
    """Two eighths on beat four of a bar that begins at 0.7 s, at 100 beats a minute."""
    settings = PartSettings(tempo_bpm=100.0, metre=(4, 4), bar_one_s=bar_one_s)
    grid = _find([2.5, 2.8, *(3.1 + 0.3 * stroke for stroke in range(64))], settings, changes=tuple(range(2, 66, 8)))
    assert (grid.metres[0].pickup_steps, grid.first_bar) == (12, first_bar)
    assert grid.positions[0].text == f"{first_bar}.4"
