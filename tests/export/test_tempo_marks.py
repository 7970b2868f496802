"""A part has one tempo at a place, and everything that writes the part down says the same one, once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from listen.document import render_chart_text
from listen.export import part_to_assignment, render_chart, render_musicxml
from listen.export.part_sheet import render_part_fragment
from listen.reading import OTHER_TEMPO, Part
from tests.hand_made_parts import compound_part, straight_part, swing_part, waltz_part


def _hasten(part: Part, bar: int, share: float = 0.8) -> Part:
    """Play a part faster from a bar on."""
    lines = part.bars.lines_s
    begins_s = lines[bar - part.bars.first_bar]
    moved = tuple(at if at <= begins_s else begins_s + share * (at - begins_s) for at in lines)
    return replace(part, bars=replace(part.bars, lines_s=moved))


def test_the_tempo_of_a_pickup_is_nobodys() -> None:
    part = _hasten(waltz_part(), 3)
    lines = part.bars.lines_s
    late = replace(part, bars=replace(part.bars, lines_s=(lines[0] - 0.6, *lines[1:])))
    chart = render_chart(late)
    assert "3/4, 132 beats a minute" in chart
    assert chart.count("♩") == 1, "at bar 3, and none where the pickup ends"


@pytest.mark.parametrize("from_bar", [5, 6])
def test_a_sentence_on_another_tempo_is_left_out_where_the_bar_or_one_beside_it_is_marked(from_bar: int) -> None:
    said = f"{OTHER_TEMPO} 0:{int(straight_part().bars.lines_s[4]):02d}: 118 beats a minute, after 95."
    part = replace(straight_part(), warnings=(said, "The recording is clipped in places."))
    assert said in render_chart(part), "nothing is marked"
    far = f"{OTHER_TEMPO} 0:01: 118 beats a minute, after 95."
    for render in (render_chart, render_part_fragment):
        text = " ".join(render(_hasten(part, from_bar)).split())
        assert "♩=120" in text
        assert OTHER_TEMPO not in text
        assert "clipped" in text
        assert far in " ".join(render(_hasten(replace(part, warnings=(far,)), from_bar)).split())


def test_the_homework_is_set_in_the_tempo_of_the_head() -> None:
    part = straight_part()
    assert part.bars.metre is not None
    part = replace(part, bars=replace(part.bars, metre=replace(part.bars.metre, tempo_bpm=110.0)))
    part = _hasten(part, 5)
    assert "96 beats a minute" in render_chart(part)
    assert "tempo: 96\n" in render_chart_text(part_to_assignment(part))


@pytest.mark.parametrize("make", [straight_part, waltz_part, compound_part, swing_part])
def test_what_notation_prints_as_the_tempo_is_what_it_sounds_in(make: Callable[[], Part]) -> None:
    part = _hasten(_hasten(make(), 1, 1.03), 3)
    seen = 0
    for direction in ET.fromstring(render_musicxml(part)).iter("direction"):  # noqa: S314
        mark, sound = direction.find(".//metronome"), direction.find("sound")
        if mark is None or sound is None:
            continue
        dotted = 1.5 if mark.find("beat-unit-dot") is not None else 1.0
        assert float(sound.get("tempo", "0")) == pytest.approx(dotted * float(mark.findtext("per-minute", "0")))
        seen += 1
    assert seen
