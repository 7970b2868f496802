"""Shapes beside a chart, where one is another with a string left out."""

from __future__ import annotations

import pytest

from listen.export.listed_shapes import list_first_spans
from tests.hand_made_parts import Scene


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
    found = [span.shape.shape.text for span in list_first_spans(scene.part(3)) if span.shape is not None]
    assert found == listed
