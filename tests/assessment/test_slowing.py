"""Who slows down at the end is told that, if it is much, and not that chords are late; who comes late there is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.assessment import assess
from listen.assessment.align import NEAR_STEPS, align
from listen.assessment.cheapest_way import Alignment, score_tempi
from listen.assessment.placing import Jump, Placed, StrokeRun
from listen.assessment.ritardando import GROWN, SLOWED_BEATS, fit_ritardando
from listen.document import parse_chart
from listen.reading import ChangesInTime, Check, DriftingTempo
from tests.hand_made_performances import SWAY, perform, strum

ROW = ("C", "G", "Am", "F", "C", "G", "Am", "F")
QUARTERS, EIGHTHS = (0.0, 1.0, 2.0, 3.0), tuple(0.5 * at for at in range(8))
WRITTEN = {SWAY: "D . D U . U D U", QUARTERS: "D D D D", EIGHTHS: "D U D U D U D U"}
BEAT_S = 0.625


def slow_down(
    n_beats: int, longer: float, pattern: Sequence[float], row: Sequence[str] = ROW
) -> list[tuple[float, str]]:
    """Play bars and a last stroke; so many beats before it grow evenly, until a beat would last so much longer."""
    end = 4.0 * len(row)
    beats = [*strum(row, pattern=pattern, beat_s=1.0), (end, row[0])]
    slow = [max(0.0, beat - end + n_beats) for beat, _ in beats]
    return [
        ((beat + (longer - 1.0) * part**2 / (2 * n_beats)) * BEAT_S, name)
        for (beat, name), part in zip(beats, slow, strict=True)
    ]


def check(strokes: Sequence[tuple[float, str]], pattern: str = "", row: Sequence[str] = ROW) -> Check:
    head = f"tempo: 96\npattern: {pattern}" if pattern else "tempo: 96"
    return assess(perform(strokes), parse_chart(f"{head}\n| {' | '.join(row)} | {row[0]} |"))


def late_bars(found: Check) -> list[int]:
    return [one.bar for one in found.findings if one.kind == "late"]


@pytest.mark.parametrize("is_set", [True, False])
@pytest.mark.parametrize("pattern", [SWAY, QUARTERS, EIGHTHS])
@pytest.mark.parametrize(("n_beats", "longer"), [(2, 1.4), (4, 1.25), (4, 1.5), (8, 1.3), (8, 1.5), (4, 1.6)])
def test_who_slows_down_at_the_end_is_not_late(
    n_beats: int, longer: float, pattern: tuple[float, ...], *, is_set: bool
) -> None:
    found = check(slow_down(n_beats, longer, pattern), WRITTEN[pattern] if is_set else "")
    assert not late_bars(found)


@pytest.mark.parametrize("pattern", [SWAY, QUARTERS, EIGHTHS])
def test_a_slowed_end_is_no_stop_and_takes_no_praise(pattern: tuple[float, ...]) -> None:
    assert ChangesInTime() in check(slow_down(4, 1.4, pattern), WRITTEN[pattern]).praise


@pytest.mark.parametrize("pattern", [SWAY, QUARTERS, EIGHTHS])
@pytest.mark.parametrize("late_s", [0.15, 0.5, 0.8])
def test_who_keeps_the_tempo_and_comes_late_to_a_chord_near_the_end_is(
    late_s: float, pattern: tuple[float, ...]
) -> None:
    rng = np.random.default_rng(3)
    steady = [(time_s + float(rng.normal(0.0, 0.008)), name) for time_s, name in slow_down(4, 1.0, pattern)]
    found = check([(time_s + (late_s if time_s > 27.5 * BEAT_S else 0.0), name) for time_s, name in steady])
    assert 8 in late_bars(found)


@pytest.mark.parametrize("pattern", [SWAY, QUARTERS])
def test_who_slows_down_before_a_chord_and_goes_on_in_tempo_is_late(pattern: tuple[float, ...]) -> None:
    first, second = slow_down(3, 1.7, pattern, ROW[:4])[:-1], strum(ROW[4:], pattern=pattern, beat_s=BEAT_S)
    begun_s = slow_down(3, 1.7, pattern, ROW[:4])[-1][0]
    again = [(begun_s + time_s, name) for time_s, name in second]
    assert late_bars(check([*first, *again, (begun_s + 16 * BEAT_S, "C")])) == [5]


@pytest.mark.parametrize("is_set", [True, False])
@pytest.mark.parametrize("pattern", [SWAY, QUARTERS, EIGHTHS])
@pytest.mark.parametrize(
    ("n_beats", "longer", "bar"), [(8, 1.7, 7), (8, 2.0, 7), (8, 2.4, 7), (12, 1.6, 6), (12, 2.0, 6)]
)
def test_who_slows_down_by_more_than_half_is_told_so_once_with_the_bar_from_which_on(
    n_beats: int, longer: float, bar: int, pattern: tuple[float, ...], *, is_set: bool
) -> None:
    found = check(slow_down(n_beats, longer, pattern), WRITTEN[pattern] if is_set else "")
    (one,) = (finding for finding in found.findings if finding.kind != "way")
    assert (one.bar, one.settled) == (bar, True)
    assert isinstance(one.measure, DriftingTempo)
    assert one.measure.is_at_end
    assert one.measure.from_bpm == pytest.approx(96, rel=0.03)
    assert one.measure.to_bpm == pytest.approx(96 / longer, rel=0.08)
    assert {outcome.state for outcome in found.bars} == {"right"}


def test_a_wrong_chord_and_a_late_one_are_found_where_the_tempo_slows_down() -> None:
    played = slow_down(12, 1.8, EIGHTHS)
    wrong = [(time_s, "Dm" if 24 <= at // 2 < 28 else name) for at, (time_s, name) in enumerate(played)]
    assert [one.bar for one in check(wrong).findings if one.kind == "chord"] == [7]
    late = [
        (time_s + (0.4 if at == 7 * len(SWAY) else 0.0), name)
        for at, (time_s, name) in enumerate(slow_down(8, 1.8, SWAY))
    ]
    assert late_bars(check(late)) == [8]


def test_a_stop_in_the_last_bars_is_no_tempo_that_slows_down() -> None:
    stopped = [(time_s + (0.9 if time_s > 23.5 * BEAT_S else 0.0), name) for time_s, name in slow_down(4, 1.0, SWAY)]
    (one,) = check(stopped).findings
    assert (one.kind, one.bar) == ("late", 7)


def count_tempi(monkeypatch: pytest.MonkeyPatch, strokes: Sequence[tuple[float, str]], row: Sequence[str]) -> list[int]:
    """Check strokes, and return how many tempi are tried whenever they are aligned by a slower clock."""
    tried: list[int] = []

    def count(*args: Any) -> NDArray[np.float64]:
        tried.append(len(args[-1][0]))
        return score_tempi(*args)

    def align_slowed(*args: Any, **kwargs: Any) -> Alignment:
        with monkeypatch.context() as patch:
            patch.setattr("listen.assessment.align.score_tempi", count)
            return align(*args, **kwargs)

    monkeypatch.setattr("listen.assessment.ritardando.align", align_slowed)
    found = assess(perform(strokes), parse_chart(f"tempo: 96\n| {' | '.join(row)} |"))
    assert {outcome.state for outcome in found.bars} == {"right"}
    return tried


def test_last_chords_that_are_held_in_time_are_not_aligned_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    row = [*ROW, *ROW]
    strokes = [one for one in strum(row, pattern=EIGHTHS, beat_s=BEAT_S) if one[0] < 56 * BEAT_S - 0.01]
    held = [(4 * bar * BEAT_S, row[bar]) for bar in (14, 15)]
    assert count_tempi(monkeypatch, [*strokes, *held], row) == []


def test_clocks_that_slow_down_are_tried_at_tempi_around_the_one_that_was_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tried = count_tempi(monkeypatch, slow_down(8, 2.0, SWAY), [*ROW, ROW[0]])
    assert len(tried) >= len(SLOWED_BEATS) * len(GROWN)
    assert max(tried) == 2 * NEAR_STEPS + 1


def test_a_last_stroke_far_behind_all_others_tells_no_curve() -> None:
    beats = np.array([*range(40), 80.0])
    run = StrokeRun(tuple(range(len(beats))), beats, BEAT_S * beats, BEAT_S)
    assert fit_ritardando(Placed((run,), (Jump("start", 0, 0, 0.0),), {0: 0})) is None
