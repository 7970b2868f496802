"""A part has one tempo at a place, and everything that writes the part down says the same one, once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from listen.document import render_chart_text
from listen.export import part_to_assignment, render_chart, render_musicxml
from listen.export.bars import lay_bars
from listen.export.part_sheet import render_part_fragment
from listen.export.tempo_marks import find_ritardando, find_tempo_marks, write_tempi
from listen.reading import OTHER_TEMPO, Metre, Part
from tests.hand_made_parts import Scene, compound_part, straight_part, swing_part, waltz_part


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


@pytest.mark.parametrize("lost", [3, 4, 5, 7])
def test_a_bar_of_which_no_beat_was_played_tells_no_tempo(lost: int) -> None:
    """Between two songs of one recording a hand comes off the count for a bar, or stops after slowing down."""
    bars = lay_bars(_hasten(straight_part(), 4)).played
    unplayed = [replace(bar, left_out=4) if index == lost else bar for index, bar in enumerate(bars)]
    assert lost not in find_tempo_marks(unplayed)
    slowing = [replace(bar, left_out=min(4, max(0, index - 3))) for index, bar in enumerate(bars)]
    assert find_ritardando(slowing) is None


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


def _play(*tempi: float, last_steps: tuple[int, ...] = (0,)) -> Part:
    """Play a bar of four beats in each tempo, two strokes in it; the last one holds these strokes."""
    scene = Scene(metre=Metre(4, 4, 2, tempi[0]))
    scene.chord("E", "022100")
    for bar in range(1, len(tempi)):
        scene.strum(bar, 0)
        scene.strum(bar, 24)
    for step in last_steps:
        scene.strum(len(tempi), step)
    part, lines = scene.part(len(tempi)), [0.5]
    for tempo in tempi:
        lines.append(lines[-1] + 240.0 / tempo)
    return replace(part, bars=replace(part.bars, lines_s=tuple(lines)))


def _tempi(part: Part) -> dict[int, str]:
    return write_tempi(part, lay_bars(part).played)


@pytest.mark.parametrize(
    ("tempi", "written"),
    [
        ((108, 108, 108, 107.4, 96.5, 85.5, 85.5), {4: "rit."}),  # what was heard of recorded ones
        ((100, 100, 100, 99.7, 91.9, 76.9, 74.7), {4: "rit."}),
        ((108, 108, 108, 108, 96, 89, 84, 79, 79), {4: "rit."}),
        ((108, 108, 108, 108, 98, 88, 79, 79, 79, 79), {6: "♩=79"}),  # it goes on in another tempo
        ((108, 108, 108, 108, 88, 86, 86), {4: "♩=87"}),  # slower at once
        ((108, 108, 108, 108, 88, 88), {}),  # one bar, and the end
        ((108, 108, 108, 106, 104, 102, 102), {}),
    ],
)
def test_a_slowing_to_the_end_is_no_other_tempo(tempi: tuple[float, ...], written: dict[int, str]) -> None:
    """The last bar holds one stroke: nothing times it."""
    assert _tempi(_play(*tempi)) == written


def test_a_last_bar_that_is_played_tells_its_tempo() -> None:
    assert _tempi(_play(108, 108, 108, 88, 88, last_steps=(0, 24))) == {3: "♩=88"}


def test_notation_says_rit_once_where_the_slowing_begins() -> None:
    part = _play(100, 100, 100, 99.7, 91.9, 76.9, 74.7)
    root = ET.fromstring(render_musicxml(part))  # noqa: S314
    found = [
        measure.get("number") for measure in root.iter("measure") for words in measure.iter("words")
        if words.text == "rit."
    ]  # fmt: skip
    assert found == ["5"]
    assert render_chart(part).count("rit.") == render_part_fragment(part).count(">rit.<") == 1
    said = f"{OTHER_TEMPO} 0:{int(part.bars.lines_s[5]):02d}: 77 beats a minute, after 100."
    assert OTHER_TEMPO not in render_chart(replace(part, warnings=(said,)))
