"""A bar of two beats among bars of four, in everything that writes a part down.

Common practice, no source: such a bar has its own signature, and the bar after it the one that holds again.
"""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from typing import Any

import mido
import music21
import pytest

from listen.assessment import lay_out_score
from listen.document import parse_chart, render_chart_text
from listen.document.part_document import document_to_part, part_to_document
from listen.errors import DocumentError
from listen.export import (
    part_to_assignment,
    render_chart,
    render_handout,
    render_midi,
    render_musicxml,
    render_tablature,
)
from listen.export.chart import ChartView
from listen.export.handout import render_click
from listen.export.part_sheet import render_part_fragment
from listen.export.sound import PAGE_RATE_HZ
from listen.reading import BarLength, Part
from tests.hand_made_parts import Scene, short_bar_part

FORMS = {"C": "x32010", "G": "320003", "Am": "x02210", "F": "133211"}


def _rounds(names: str, lengths: dict[int, int], n_bars: int) -> Part:
    scene = Scene(lengths=lengths)
    for bar, name in enumerate(names.split(), start=1):
        scene.chord(name, FORMS[name])
        for step in range(0, 12 * lengths.get(bar, 4), 12):
            scene.strum(bar, step)
    return scene.part(n_bars)


def test_the_chart_says_a_short_bars_signature_before_its_name_and_gives_it_half_the_room() -> None:
    line = next(one for one in render_chart(short_bar_part()).splitlines() if one.startswith("  5"))
    cells = line[4:].split("|")[1:-1]
    assert [cell.strip() for cell in cells] == ["C", "2/4 G", "4/4 Am", "G"]
    assert len(cells[1]) - 2 == (len(cells[0]) - 2) // 2
    full = render_chart(short_bar_part(), view=ChartView(level="full"))
    assert "| 2/4 G" in full
    assert "| 4/4 Am" in full
    assert re.search(r"2/4 G +4/4 Am", render_tablature(short_bar_part()))


def test_a_repeat_that_comes_back_from_a_short_bar_says_its_signature_again() -> None:
    chart = render_chart(_rounds("C Am F G " * 3, {4: 2, 8: 2, 12: 2}, 12))
    assert re.search(r"\|: 4/4 C +\| Am +\| F +\| 2/4 G +:\| ×3", chart)
    once = render_chart(_rounds("C Am F G C Am F G", {4: 2}, 8))
    assert ":|" not in once, "bars of several lengths are no repeat"


def test_a_short_bar_is_as_wide_on_the_sheet_as_it_is_long() -> None:
    sheet = render_part_fragment(short_bar_part())
    rows = re.findall(r'<ol class="line[^>]*>', sheet)
    assert [("--wide:16;--narrow:8" in row) for row in rows] == [False, True, False]
    assert re.findall(r'--beats:(\d)"', sheet) == ["4", "2", "4", "4"]
    assert re.findall(r'class="bar-mark">([^<]+)<', sheet) == ["2/4", "4/4"]
    assert 'aria-label="Bar 6, 2/4: G"' in sheet


def test_notation_has_a_signature_at_the_short_bar_and_after_it() -> None:
    part = short_bar_part()
    root = ET.fromstring(render_musicxml(part))  # noqa: S314 - our own output
    signed = {
        measure.get("number"): f"{time.findtext('beats')}/{time.findtext('beat-type')}"
        for measure in root.iter("measure")
        for time in measure.iter("time")
    }
    assert signed == {"1": "4/4", "6": "2/4", "7": "4/4"}
    assert not any(measure.get("implicit") for measure in root.iter("measure"))
    score: Any = music21.converter.parseData(render_musicxml(part), format="musicxml")
    staff = score.parts[0]
    assert [bar.duration.quarterLength for bar in staff.getElementsByClass("Measure")] == [*[4.0] * 5, 2.0, *[4.0] * 4]


def test_a_midi_file_has_a_signature_at_the_short_bar_and_after_it_and_keeps_the_tempo() -> None:
    track = mido.MidiFile(file=io.BytesIO(render_midi(short_bar_part()))).tracks[0]
    ticks, signed, tempi = 0, [], []
    for message in track:
        ticks += message.time
        if message.type == "time_signature":
            signed.append((ticks / 480, f"{message.numerator}/{message.denominator}"))
        if message.type == "set_tempo":
            tempi.append(mido.tempo2bpm(message.tempo))
    assert signed == [(0.0, "4/4"), (20.0, "2/4"), (22.0, "4/4")]
    assert tempi == pytest.approx([96.0] * len(tempi), abs=0.1)


def test_the_document_keeps_the_lengths_of_bars_and_refuses_what_contradicts_them() -> None:
    part = short_bar_part()
    document = part_to_document(part)
    assert document["bar_lengths"] == [{"bar": 6, "n_beats": 2}]
    assert document_to_part(document, name="part.json") == part
    for lengths, said in (
        ([BarLength(16, 2)], "there is no bar 16: bars 1 to 10"),
        ([BarLength(6, 2), BarLength(6, 3)], "bar 6 is told twice"),
        ([BarLength(6, 1)], "step 12 is not in bar 6, whose steps run from 0 to 11"),
    ):
        wrong = part_to_document(replace(part, bars=replace(part.bars, lengths=tuple(lengths))))
        with pytest.raises(DocumentError, match=said):
            document_to_part(wrong, name="part.json")


def test_a_short_bar_is_set_as_it_was_played() -> None:
    assignment = part_to_assignment(short_bar_part())
    assert [bar.signature for bar in assignment.bars] == [*[None] * 5, (2, 4), *[None] * 4]
    text = render_chart_text(assignment)
    assert "| C | metre=2/4 G | metre=4/4 Am | G |" in text
    assert parse_chart(text) == assignment
    lines = lay_out_score(assignment).bars
    assert [after - before for before, after in pairwise(lines)] == [*[4.0] * 5, 2.0, *[4.0] * 4]


def test_the_hand_out_shows_a_short_bar_and_clicks_higher_where_bars_begin() -> None:
    score = lay_out_score(parse_chart("tempo: 60\n|: C | metre=2/4 G :| x2"))
    page = render_handout(score.assignment)
    assert re.findall(r'class="bar-mark">([^<]+)<', page) == ["4/4", "2/4"]
    assert re.findall(r'--beats:(\d)"', page) == ["4", "2"]
    click = render_click(score)
    assert [beat for beat in range(16) if _is_high(click, beat)] == [0, 4, 8, 10, 14]
    pickup = render_click(lay_out_score(parse_chart("tempo: 60\npickup: 1\n| C | G | C |")))
    assert [beat for beat in range(13) if _is_high(pickup, beat)] == [0, 5, 9]


def _is_high(click: object, beat: int) -> bool:
    import numpy as np

    samples = np.asarray(click)[round(beat * PAGE_RATE_HZ) :][: round(0.02 * PAGE_RATE_HZ)]
    spectrum = np.abs(np.fft.rfft(samples, 4 * PAGE_RATE_HZ // 100))
    return float(spectrum.argmax() * 25) > 1250.0
