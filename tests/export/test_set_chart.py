"""A part as homework: what was played is what is set, and what is written is read back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.document import parse_chart, render_chart_text
from listen.export import part_to_assignment
from listen.export.handout import render_handout
from listen.instrument import Fretboard, parse_tuning
from listen.reading import Metre, PatternStroke, SetChange, StrummingPattern
from tests.hand_made_parts import Scene, count_pickup_as_one, straight_part, swing_part


def test_swing_is_set_and_said_and_its_pattern_stands_in_halves_of_beats() -> None:
    strokes = (PatternStroke(0, "down", "full"), PatternStroke(12, "down", "full"), PatternStroke(20, "up", "full"))
    part = replace(swing_part(), pattern=StrummingPattern(strokes, (1, 2), 1.0))
    text = render_chart_text(part_to_assignment(part))
    assert "feel: swing\n" in text
    assert "pattern: D . D U . . . .\n" in text
    read = parse_chart(text)
    assert read.is_swung
    assert "4/4 swing, 120 beats a minute" in render_handout(read)
    assert "feel" not in render_chart_text(part_to_assignment(straight_part()))


@pytest.mark.parametrize(("steps", "beats", "n_bars"), [(36, 3, 3), (42, 0, 3), (6, 0, 2)])
def test_a_pickup_that_is_a_bar_when_its_broken_beat_is_counted_whole_is_a_bar(
    steps: int, beats: int, n_bars: int
) -> None:
    scene = Scene(Metre(4, 4, 2, 96.0, pickup_steps=steps))
    scene.chord("G", "320003")
    scene.strum(0, 48 - steps)
    for bar, (name, frets) in enumerate([("C", "x32010"), ("G", "320003")], start=1):
        scene.chord(name, frets)
        scene.strum(bar, 0)
    read = parse_chart(render_chart_text(part_to_assignment(scene.part(2))))
    assert read.pickup_beats == beats
    assert [bar.changes for bar in read.bars[-2:]] == [(SetChange(0, "C"),), (SetChange(0, "G"),)]
    assert len(read.bars) == n_bars


@pytest.mark.parametrize("steps", [6, 24])
def test_a_short_bar_that_was_told_to_be_bar_one_is_set_whole_and_begins_with_a_rest(steps: int) -> None:
    scene = Scene(Metre(4, 4, 2, 96.0, pickup_steps=steps))
    scene.chord("G", "320003")
    scene.strum(0, 48 - steps)
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    read = parse_chart(render_chart_text(part_to_assignment(count_pickup_as_one(scene.part(1)))))
    assert read.pickup_beats == 0
    assert [bar.changes for bar in read.bars] == [
        (SetChange(0, "N.C."), SetChange(48 - steps, "G")),
        (SetChange(0, "C"),),
    ]


def test_of_several_shapes_of_a_chord_the_one_held_longest_is_set() -> None:
    scene = Scene()
    for bar, (name, frets) in enumerate(
        [("C", "x35553"), ("G", "320003"), ("C", "x32010"), ("C", "x32010"), ("G", "320003")], start=1
    ):
        scene.chord(name, frets)
        scene.strum(bar, 0)
    text = render_chart_text(part_to_assignment(scene.part(5)))
    assert "C = x32010\n" in text
    assert "x35553" not in text


@pytest.mark.parametrize(("capo_fret", "tuning"), [(0, "standard"), (3, "standard"), (2, "drop D")])
def test_the_guitar_that_was_heard_is_the_one_that_is_set(capo_fret: int, tuning: str) -> None:
    scene = Scene(fretboard=Fretboard(parse_tuning(tuning), capo_fret=capo_fret))
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    read = parse_chart(render_chart_text(part_to_assignment(scene.part(1))))
    assert read.capo_fret == capo_fret
    assert read.tuning.open_strings == parse_tuning(tuning).open_strings
