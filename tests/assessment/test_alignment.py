"""Alignment, held against a plain dynamic-programming reference that tries every way, cell by cell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.assessment.align import (
    BAR_NATS,
    FULL_SAY_S,
    JUMP_SHARE,
    LEAST_JUMP,
    LEAST_SAY,
    MOST_JUMP,
    OUTSIDE_SCORE,
    align,
)
from listen.assessment.cheapest_way import (
    DRIFT,
    ENTER_COST,
    LEAVE_COST,
    LONGEST_STEP,
    MIDDLE_START,
    OUTSIDE,
    PAUSE_DISCOUNT,
    PAUSE_RATIO,
    SLACK,
)
from listen.assessment.score_cells import (
    END_COST,
    FARTHER,
    LEFT_COST,
    MOST_LEFT,
    OFF_BAR,
    OFF_BEAT,
    WAIT_COST,
    lay_cells,
)
from listen.assessment.target import lay_out_score
from listen.document import parse_chart
from listen.reading import SetBar, SetSection

CHART = "tempo: 100\n| C | G | Am | F |\n| C | F | G | C |"
Floats = NDArray[np.float64]


def reference_score(scores: Floats, times_s: list[float], beat_s: float, n_bars: int) -> float:
    """The score of the best way, by the definition: every cell against every cell, one stroke after another."""
    n_cells = scores.shape[1]
    per_bar = n_cells // n_bars

    def landing(cell: int) -> float:
        return 0.0 if cell % per_bar == 0 else OFF_BAR if cell % 2 == 0 else OFF_BEAT

    def ending(cell: int) -> float:
        left = n_bars - 1 - cell // per_bar
        return min(END_COST + LEFT_COST * left, MOST_LEFT) if left else 0.0

    usual = float(np.median(np.diff(times_s)))
    gaps = [*np.diff(times_s).tolist(), FULL_SAY_S]
    say = [min(1.0, max(LEAST_SAY, gap / FULL_SAY_S)) for gap in gaps]
    bar_says = sum(say) / (times_s[-1] - times_s[0] + FULL_SAY_S) * per_bar / 2 * beat_s
    jump = min(max(JUMP_SHARE * BAR_NATS * bar_says, LEAST_JUMP), MOST_JUMP)
    scores = scores * np.array(say)[:, None]
    best: dict[int, float] = {
        cell: (0.0 if cell == 0 else -MIDDLE_START - ENTER_COST - landing(cell)) + scores[0, cell]
        for cell in range(n_cells)
    }
    best[OUTSIDE] = OUTSIDE_SCORE * say[0]
    for at in range(1, len(times_s)):
        gap_s = min(times_s[at] - times_s[at - 1], LONGEST_STEP)
        discount = PAUSE_DISCOUNT if gap_s > PAUSE_RATIO * usual else 0.0
        expected = gap_s / beat_s * 2
        sigma = SLACK + DRIFT * expected
        new = {}
        for cell in range(n_cells):
            ways = [best[OUTSIDE] - ENTER_COST - landing(cell)]
            for before in range(n_cells):
                far = FARTHER / per_bar * abs(cell - before)
                ways.append(best[before] - jump + discount - far - landing(cell))
                if before <= cell:
                    off = (cell - before - expected) / sigma
                    ways.append(best[before] - 0.5 * off * off - float(np.log(sigma / SLACK)))
                if before < cell < before + expected:  # a stop; these scores change the chord at each bar line only
                    stop = float(np.log1p((before + expected - cell) / 2))
                    ways.append(best[before] - WAIT_COST - stop - landing(cell))
            new[cell] = max(ways) + scores[at, cell]
        stays = max(best[OUTSIDE], max(best[cell] for cell in range(n_cells)) - LEAVE_COST)
        new[OUTSIDE] = stays + OUTSIDE_SCORE * say[at]
        best = new
    return max(best[OUTSIDE] - LEAVE_COST, *(best[cell] - ending(cell) for cell in range(n_cells)))


def played(bars: list[int], beat_s: float, rng: np.random.Generator) -> tuple[Floats, list[float], list[int]]:
    """Strokes on every half beat of some bars, and how well each fits each slot."""
    score = lay_out_score(parse_chart(CHART))
    times, rows, truth = [], [], []
    at_s = 1.0
    for bar in bars:
        for half in range(8):
            symbol = score.slots[bar].target
            row = [2.0 if slot.target == symbol else -1.0 for slot in score.slots]
            rows.append(np.array(row) + rng.normal(0, 0.2, len(row)))
            times.append(at_s + half * beat_s / 2 + float(rng.normal(0, 0.008)))
            truth.append(bar)
        at_s += 4 * beat_s
    return np.array(rows), times, truth


@pytest.mark.parametrize("bars", [[0, 1, 2, 3, 4, 5], [0, 1, 3, 4, 5, 6, 7], [0, 1, 1, 2, 3, 4, 5, 6, 7], [2, 3, 0, 1]])
def test_the_best_way_scores_what_the_plain_reference_says(bars: list[int]) -> None:
    rng = np.random.default_rng(len(bars))
    emissions, times, _ = played(bars, 0.6, rng)
    grid = lay_cells(lay_out_score(parse_chart(CHART)))
    found = align(grid, emissions, np.array(times), tempo_bpm=None)
    wanted = reference_score(emissions[:, grid.slots], times, found.beat_s, 8)
    assert found.score == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(
    "bars",
    [
        list(range(8)),
        [0, 1, 2, 4, 5, 6, 7],  # one left out
        [0, 1, 2, 3, 2, 3, 4, 5, 6, 7],  # begun again
        [0, 1, 2, 3, 4, 5],  # stopped early
    ],
)
def test_each_bar_is_found_with_a_skip_a_restart_or_an_early_end(bars: list[int]) -> None:
    rng = np.random.default_rng(7)
    emissions, times, truth = played(bars, 0.52, rng)
    grid = lay_cells(lay_out_score(parse_chart(CHART)))
    found = align(grid, emissions, np.array(times), tempo_bpm=100.0)
    assert 60.0 / found.beat_s == pytest.approx(60.0 / 0.52, rel=0.04)
    right = np.mean([cell // 8 == bar for cell, bar in zip(found.cells.tolist(), truth, strict=True)])
    assert right >= 0.97


@pytest.mark.parametrize("n_strokes", [3, 4])
def test_who_goes_back_for_a_few_strokes_at_the_end_plays_them_and_does_not_leave_the_piece(n_strokes: int) -> None:
    """Though to leave it were cheaper than a jump back that does not come back to the place that was left."""
    emissions, times, truth = played([*range(8), 2], 0.4, np.random.default_rng(7))
    n_played = 8 * 8 + n_strokes
    grid = lay_cells(lay_out_score(parse_chart(CHART)))
    found = align(grid, emissions[:n_played], np.array(times[:n_played]), tempo_bpm=150.0)
    assert (found.cells // 8).tolist() == truth[:n_played]


def test_talk_before_the_piece_lies_outside_it() -> None:
    rng = np.random.default_rng(3)
    emissions, times, _ = played([0, 1, 2, 3, 4, 5, 6, 7], 0.6, rng)
    talk = np.full((9, emissions.shape[1]), -1.0)
    before = [-6.0, -5.1, -4.7, -3.9, -3.3, -2.2, -1.8, -1.1, -0.4]
    grid = lay_cells(lay_out_score(parse_chart(CHART)))
    found = align(grid, np.vstack([talk, emissions]), np.array(before + times))
    assert (found.cells[:9] == OUTSIDE).all()
    assert found.cells[9] == 0


def test_bars_that_only_go_on_are_looked_through_once(monkeypatch: pytest.MonkeyPatch) -> None:
    assignment = parse_chart("tempo: 90\n| C |")
    bars = assignment.bars + (SetBar(),) * 9
    score = lay_out_score(replace(assignment, sections=(SetSection(bars, 1),)))
    asked = iter([bars])  # once
    monkeypatch.setattr(type(assignment), "bars", property(lambda _: next(asked)))
    assert not lay_cells(score).ending.any()
    monkeypatch.undo()
    assert score.held_bars() == (9,) * 10
