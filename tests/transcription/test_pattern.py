"""The pattern of the picking hand: bars of one rhythm decide together which way their strokes go."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import Direction
from listen.reading import Event
from listen.transcription.written import find_pattern
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
