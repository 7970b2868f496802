"""Whether the tempo is said to drift, from hand-written strokes: where it does, and nowhere else."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import ChangesInTime, Check, DriftingTempo, OtherTempo
from tests.hand_made_performances import perform, strum

ROW = ("C", "Am", "F", "G", "C", "Am", "F", "G")


def check_drift(from_bpm: float, to_bpm: float, *, set_bpm: int = 96, row: Sequence[str] = ROW * 2) -> Check:
    """Check bars of which each beat is longer or shorter than the one before it by as much."""
    beats = np.array([time_s for time_s, _ in strum(row, beat_s=1.0)])
    grows = (60.0 / to_bpm - 60.0 / from_bpm) / (4 * len(row))
    times = 60.0 / from_bpm * beats + grows * beats**2 / 2
    strokes = [(float(time_s), name) for time_s, (_, name) in zip(times, strum(row), strict=True)]
    return assess(perform(strokes), parse_chart(f"tempo: {set_bpm}\n| {' | '.join(row)} |"))


@pytest.mark.parametrize(("from_bpm", "to_bpm"), [(96, 140), (100, 125), (100, 72), (96, 76)])
def test_a_tempo_that_drifts_is_said_from_where_it_is_heard_and_changes_are_not_praised(
    from_bpm: float, to_bpm: float
) -> None:
    check = check_drift(from_bpm, to_bpm)
    (drift,) = check.findings
    assert isinstance(drift.measure, DriftingTempo)
    assert drift.measure.from_bpm == pytest.approx(from_bpm, rel=0.08)
    assert (drift.measure.to_bpm > drift.measure.from_bpm) == (to_bpm > from_bpm)
    assert drift.measure.to_bpm == pytest.approx(to_bpm, rel=0.08)
    assert 2 <= drift.bar <= 9
    assert ChangesInTime() not in check.praise
    assert {bar.state for bar in check.bars} == {"right"}


def test_bars_at_the_end_in_which_no_chord_changes_are_followed_too() -> None:
    """Rushing so far, strokes of one chord at the mean tempo would fill fewer bars than were played."""
    check = check_drift(96, 163, row=(*ROW, *ROW[:4], "C", "C", "C", "C"))
    (drift,) = check.findings
    assert isinstance(drift.measure, DriftingTempo)
    assert drift.measure.to_bpm == pytest.approx(155, rel=0.04)


@pytest.mark.parametrize(("from_bpm", "to_bpm"), [(96, 96), (96, 102), (96, 91)])
def test_a_tempo_that_hardly_changes_is_praised(from_bpm: float, to_bpm: float) -> None:
    check = check_drift(from_bpm, to_bpm)
    assert check.findings == ()
    assert ChangesInTime() in check.praise


def test_one_stroke_has_no_tempo() -> None:
    check = assess(perform([(0.0, "C")]), parse_chart("tempo: 90\n| C |"))
    assert check.tempo_bpm is None


def test_a_steady_tempo_far_from_the_one_that_was_set_is_no_drift() -> None:
    (other,) = check_drift(60, 60).findings
    assert other.measure == OtherTempo(60, 96)
