"""A doubt about a bar that a chart does not write out is marked where the chart writes it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.export.chart import render_chart
from listen.export.part_sheet import render_part_fragment
from listen.reading import ChordName, Part
from listen.theory import parse_chord
from tests.hand_made_parts import Scene

SHAPES = {"C": "x32010", "G": "320003", "Am": "x02210", "F": "133211", "Dm": "xx0231", "E": "022100", "A": "x02220"}


def _play(form: list[str], doubted_bar: int) -> Part:
    """Play a chord a bar; one of them is not surely what it is called."""
    scene = Scene()
    for bar, name in enumerate(form, start=1):
        scene.chord(name, SHAPES[name])
        scene.strum(bar, 0)
    part = scene.part(len(form))
    names = (ChordName(parse_chord(form[doubted_bar - 1]), 0.5), ChordName(parse_chord("C6"), 0.4))
    return replace(
        part,
        spans=tuple(replace(s, names=names) if at == doubted_bar - 1 else s for at, s in enumerate(part.spans)),
    )


VERSE = ["C", "G", "Am", "F", "C", "G", "A", "E"]


@pytest.mark.parametrize(
    ("form", "doubted_bar"),
    [(["C", "G", "Am", "F"] * 3, 7), ([*VERSE, "Dm", "E", "Dm", "G", *VERSE], 15), (VERSE[:4], 3)],
    ids=["repeated", "comes back", "written out"],
)
def test_a_doubt_in_bars_that_are_folded_is_marked_where_they_are_written(form: list[str], doubted_bar: int) -> None:
    part = _play(form, doubted_bar)
    chart = render_chart(part)
    assert "? not sure: Am at 0:" in chart
    assert chart.count("Am?") == 1
    assert render_part_fragment(part).count("Am?") == 1
