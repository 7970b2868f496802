"""A first stroke that is late by less than a beat is not taken for a stroke that stands after it anyway."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import ChangesInTime, Check, OffBeat
from tests.hand_made_performances import SWAY, perform, strum

ROW = ("C", "G", "Am", "F", "C", "G", "Am", "F", "C")
QUARTERS, EIGHTHS = (0.0, 1.0, 2.0, 3.0), tuple(0.5 * at for at in range(8))
WRITTEN = {SWAY: "D . D U . U D U", QUARTERS: "D D D D", EIGHTHS: "D U D U D U D U"}
BAR_S, LATE_BARS = 2.4, (3, 7)


def check(strokes: Sequence[tuple[float, str]], pattern: str = "", row: Sequence[str] = ROW) -> Check:
    head = f"tempo: 100\npattern: {pattern}" if pattern else "tempo: 100"
    return assess(perform(strokes), parse_chart(f"{head}\n| {' | '.join(row)} |"))


def move(strokes: Iterable[tuple[float, str]], bars: Iterable[int], late_s: float) -> list[tuple[float, str]]:
    """Play the first stroke of some bars late."""
    starts = {round((bar - 1) * BAR_S, 6) for bar in bars}
    return [(time_s + (late_s if round(time_s, 6) in starts else 0.0), name) for time_s, name in strokes]


def late_ms(found: Check) -> dict[tuple[int, float], int]:
    assert {one.kind for one in found.findings} <= {"late"}, found.findings
    return {(one.bar, one.beat): one.measure.ms for one in found.findings if isinstance(one.measure, OffBeat)}


@pytest.mark.parametrize("is_set", [True, False])
@pytest.mark.parametrize("pattern", [SWAY, QUARTERS])
@pytest.mark.parametrize("late_s", [0.22, 0.26, 0.3, 0.35])
def test_a_late_first_stroke_is_late_and_not_praised(
    pattern: tuple[float, ...], late_s: float, *, is_set: bool
) -> None:
    found = check(move(strum(ROW, pattern=pattern), LATE_BARS, late_s), WRITTEN[pattern] if is_set else "")
    told = late_ms(found)
    assert set(told) == {(bar, 1.0) for bar in LATE_BARS}
    assert list(told.values()) == pytest.approx([1000 * late_s] * 2, abs=40)
    assert ChangesInTime() not in found.praise


@pytest.mark.parametrize("is_set", [True, False])
@pytest.mark.parametrize("wait_s", [0.25, 0.3, 0.4])
def test_a_stop_after_which_all_goes_on_half_a_beat_later_is_late_once(wait_s: float, *, is_set: bool) -> None:
    found = check(strum(ROW, {3: wait_s}, pattern=QUARTERS), WRITTEN[QUARTERS] if is_set else "")
    assert late_ms(found) == {(3, 1.0): pytest.approx(1000 * wait_s, abs=40)}


@pytest.mark.parametrize("is_set", [True, False])
def test_a_first_stroke_that_was_left_out_is_not_late(*, is_set: bool) -> None:
    for pattern in (SWAY, QUARTERS, EIGHTHS):
        whole = strum(ROW, pattern=pattern)
        without = [one for one in whole if round(one[0] / BAR_S, 6) not in {2.0, 6.0}]
        found = check(without, WRITTEN[pattern] if is_set else "")
        assert "late" not in {one.kind for one in found.findings}


@pytest.mark.parametrize("is_set", [True, False])
@pytest.mark.parametrize("pattern", [SWAY, QUARTERS])
@pytest.mark.parametrize("late_s", [0.22, 0.3, 0.6, 0.9])
def test_a_last_stroke_alone_that_comes_late_in_a_steady_tempo_is_late(
    late_s: float, pattern: tuple[float, ...], *, is_set: bool
) -> None:
    whole = strum(ROW[:-1], pattern=pattern)
    found = check([*whole, ((len(ROW) - 1) * BAR_S + late_s, ROW[-1])], WRITTEN[pattern] if is_set else "")
    assert late_ms(found) == {(len(ROW), 1.0): pytest.approx(1000 * late_s, abs=40)}


def test_a_last_bar_whose_first_stroke_was_left_out_is_not_late() -> None:
    for pattern in (SWAY, QUARTERS):
        whole = strum(ROW, pattern=pattern)
        found = check([one for one in whole if round(one[0] / BAR_S, 6) != len(ROW) - 1], WRITTEN[pattern])
        assert "late" not in {one.kind for one in found.findings}


@pytest.mark.parametrize("written", ["", WRITTEN[SWAY], WRITTEN[QUARTERS], "D U . U D . D U"])
def test_a_hand_that_goes_its_own_way_is_not_late(written: str) -> None:
    halves = ("C G", "Am F") * 4  # sway has no stroke on beat 3, where each chord changes
    kinds = {one.kind for one in check(strum(halves), written, halves).findings}
    assert "late" not in kinds
    pushed = strum(ROW, pattern=(0.5, 1.0, 2.0, 3.0))
    assert "late" not in {one.kind for one in check(pushed, written).findings}


@pytest.mark.parametrize("pattern", [SWAY, QUARTERS])
def test_a_stroke_where_the_pattern_that_was_set_has_one_is_in_its_place(pattern: tuple[float, ...]) -> None:
    """Though the student's other bars have none there: the downstroke before it was left out."""
    moved = move(strum(ROW, pattern=pattern), LATE_BARS, 0.3)
    assert not late_ms(check(moved, "D U D . D . D ."))
    assert set(late_ms(check(moved))) == {(bar, 1.0) for bar in LATE_BARS}


def test_a_swinging_hand_and_one_that_slows_down_are_not_late() -> None:
    swung = strum(ROW, pattern=tuple(at + 0.15 if at % 1 else at for at in EIGHTHS))
    slower = [(time_s + 0.004 * time_s**2, name) for time_s, name in strum(ROW)]
    for strokes in (swung, slower, [one for at, one in enumerate(slower) if at % 12]):
        assert "late" not in {one.kind for one in check(strokes).findings}
        assert "late" not in {one.kind for one in check(strokes, WRITTEN[EIGHTHS]).findings}
