"""The pattern of the picking hand: bars of one rhythm decide together which way their strokes go."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import Direction
from listen.reading import Event
from listen.transcription.pattern import find_pattern
from tests.hand_made_parts import Scene

WAYS: tuple[Direction, ...] = ("down", "down", "up", "down")


def _play(*bars: tuple[tuple[Direction, float], ...]) -> tuple[Event, ...]:
    """Play bars of four strokes, each with its way and how sure that is."""
    scene = Scene()
    scene.chord("G", "320003")
    for number in range(1, len(bars) + 1):
        for step in (0, 12, 30, 36):
            scene.strum(number, step)
    said = [one for bar in bars for one in bar]
    events = [event for event in scene.part(len(bars)).events if event.strokes]
    assert len(events) == len(said)
    return tuple(
        replace(event, strokes=(replace(event.strokes[0], direction=way, direction_probability=sure),))
        for event, (way, sure) in zip(events, said, strict=True)
    )


@pytest.mark.parametrize(("sure", "bars"), [(0.6, (1, 2, 3)), (0.93, (1, 3))])
def test_a_stroke_that_is_unsure_of_its_way_is_outvoted_and_a_sure_one_is_another_bar(
    sure: float, bars: tuple[int, ...]
) -> None:
    usual = tuple((way, 0.8) for way in WAYS)
    other = (("up", sure), *usual[1:])
    pattern = find_pattern(_play(usual, other, usual))
    assert pattern is not None
    assert pattern.bars == bars
    assert tuple(stroke.direction for stroke in pattern.strokes) == WAYS
    assert pattern.share == pytest.approx(len(bars) / 3)


def test_bars_of_another_rhythm_take_no_part() -> None:
    usual = tuple((way, 0.8) for way in WAYS)
    played = _play(usual, usual, usual)
    fewer = tuple(event for event in played if event is not played[-1])
    pattern = find_pattern(fewer)
    assert pattern is not None
    assert pattern.bars == (1, 2)


SIXTEENTHS = (0, 6, 9, 15, 18, 21, 24, 30, 33, 39, 42, 45)


def _play_steps(*bars: tuple[int, ...]) -> tuple[Event, ...]:
    """Play downstrokes at steps of bars."""
    scene = Scene()
    scene.chord("G", "320003")
    for number, steps in enumerate(bars, start=1):
        for step in steps:
            scene.strum(number, step)
    return tuple(event for event in scene.part(len(bars)).events if event.strokes)


def _without(*steps: int) -> tuple[int, ...]:
    return tuple(step for step in SIXTEENTHS if step not in steps)


@pytest.mark.parametrize("n_whole", [1, 3])
def test_of_bars_that_slip_by_a_stroke_the_pattern_is_what_most_bars_strike(n_whole: int) -> None:
    """One bar or three are it; no two of the others are alike."""
    added, moved = (*SIXTEENTHS[:1], 3, *SIXTEENTHS[1:]), tuple(sorted((*_without(39), 36)))
    slips = (_without(6), _without(15, 18), _without(33), added, moved)
    pattern = find_pattern(_play_steps(*slips, *(SIXTEENTHS,) * n_whole))
    assert pattern is not None
    assert tuple(stroke.step for stroke in pattern.strokes) == SIXTEENTHS
    assert pattern.bars == (6, 7, 8)[:n_whole]
    assert pattern.nearly == (1, 2, 3, 4, 5)
    assert pattern.share == pytest.approx(n_whole / (5 + n_whole))
    assert pattern.is_usual


def test_bars_that_have_no_more_in_common_than_their_beats_have_no_pattern() -> None:
    beats = (0, 12, 24, 36)
    others = ((3, 9), (6, 18), (15, 21), (27, 33), (30, 39), (42, 45), (9, 33), (18, 42))
    pattern = find_pattern(_play_steps(*(tuple(sorted((*beats, *more))) for more in others)))
    assert pattern is None or not pattern.is_usual


def test_a_bar_of_few_strokes_with_one_more_is_another_bar() -> None:
    pattern = find_pattern(_play_steps((0, 24), (0, 24), (0, 12, 24), (0, 24, 36), (0,), (0, 6, 24)))
    assert pattern is not None
    assert pattern.nearly == ()
    assert not pattern.is_usual
