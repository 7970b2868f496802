"""Which metre is written first where nothing tells it, and which tempi are offered beside the one that was counted."""

from __future__ import annotations

import numpy as np
import pytest

from listen.transcription.bar_evidence import BarKind
from listen.transcription.countings import Counting
from listen.transcription.grid import StrokeFeatures, find_grid
from listen.transcription.metre import countings_to_metres
from listen.transcription.part_settings import PartSettings


@pytest.mark.parametrize("bpm", [90.0, 100.0, 110.0])
def test_beats_that_are_all_alike_are_most_likely_fours_and_next_threes(bpm: float) -> None:
    """Common practice, no source: most songs are in four."""
    n = 36
    even, changes = np.zeros(n), np.arange(n) == 0
    features = StrokeFeatures(np.linspace(0.5, 0.5 + 60.0 / bpm * (n - 1), n), even, even, np.ones(n), changes)
    grid = find_grid(features, settings=PartSettings())
    assert grid is not None
    assert [metre.signature for metre in grid.metres[:2]] == ["4/4", "3/4"]
    assert [round(metre.tempo_bpm) for metre in grid.metres[:2]] == [bpm, bpm]


def test_beside_the_tempo_half_and_double_are_offered() -> None:
    """One counting, in steps of a quarter second: 120 beats a minute in eighths."""
    steps = np.arange(32)
    counting = Counting(BarKind(4, 2), steps, np.zeros(32), 0.0, 2.0)
    metres = countings_to_metres((counting,), np.zeros(32), 0.25)
    assert [metre.tempo_bpm for metre in metres] == pytest.approx([120.0, 60.0, 240.0])
    assert {metre.signature for metre in metres} == {"4/4"}
    assert metres[0].probability > metres[1].probability == metres[2].probability > 0.0
