"""The shapes beside a chart: of a chord that is held in two ways, the rarer one says where."""

from __future__ import annotations

from listen.export.chart import render_chart
from listen.export.part_sheet import render_part_fragment
from tests.hand_made_parts import Scene, straight_part


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
