"""The shapes beside a chart: which are listed, and of a chord that is held in two ways, where the rarer one is."""

from __future__ import annotations

import pytest

from listen.export.bars import lay_bars
from listen.export.chart import render_chart
from listen.export.listed_shapes import list_first_spans
from listen.export.part_sheet import render_part_fragment
from tests.hand_made_parts import Scene, straight_part


@pytest.mark.parametrize(
    ("shapes", "listed"),
    [
        (("x32010", "032010"), ["x32010", "032010"]),  # E is no bass of C: two ways to hold it
        (("332010", "x32010"), ["332010", "x32010"]),
        (("x32010", "x3x010"), ["x32010"]),
        (("x32010", "xx2010"), ["x32010"]),
    ],
)
def test_a_string_below_the_root_makes_another_shape_of_a_chord(shapes: tuple[str, ...], listed: list[str]) -> None:
    """One name held in two ways lost the usual one, with its fingering."""
    scene = Scene()
    for bar, shape in enumerate(shapes, start=1):
        scene.chord("C", shape)
        scene.strum(bar, 0)
    found = [span.shape.shape.text for span in list_first_spans(lay_bars(scene.part(3))) if span.shape is not None]
    assert found == listed


def test_a_chord_that_is_held_in_two_ways_says_where_the_rarer_one_is_held() -> None:
    scene = Scene()
    for bar, (name, frets) in enumerate(
        [("D", "x-x-12-11-10-x"), ("A", "x02220"), ("D", "xx0232"), ("A", "x02220"), ("D", "xx0232")], start=1
    ):
        scene.chord(name, frets)
        scene.strum(bar, 0)
    for text in (render_chart(scene.part(5)), render_part_fragment(scene.part(5))):
        assert "x-x-12-11-10-x (bar 1)" in text
        assert text.count("(bar") == 1
    assert "(bar" not in render_chart(straight_part())
