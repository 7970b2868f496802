"""Single notes written down: pickups, bars that differ in their notes alone, notes that no string has."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

from listen.document import render_chart_text
from listen.export.chart import render_chart
from listen.export.musicxml import render_musicxml
from listen.export.set_chart import part_to_assignment
from listen.export.style import TextStyle
from listen.export.tablature import render_tablature
from listen.reading import Metre, Part
from listen.theory import Pitch
from tests.hand_made_parts import Scene

WALK = [(0, 30, 6, 3), (0, 36, 5, 0), (0, 42, 5, 2)]  # G A B up to C
TUNE = [(0, 5, 3), (12, 4, 0), (24, 4, 2), (36, 4, 3)]  # step, string, fret


def _pickup() -> Part:
    scene = Scene(Metre(4, 4, 2, 120.0, pickup_steps=18))
    scene.gap(0, 30, "silence")
    for note in WALK:
        scene.line([note])
    scene.chord("C", "x32010")
    for bar in (1, 2):
        scene.strum(bar, 0)
    return scene.part(2)


def test_no_chord_stands_at_the_first_note_of_a_pickup() -> None:
    """The silence before it begins no rest: N.C. stood on the next beat, over its second note."""
    part = _pickup()
    assert "  0 |  &N.C. · |" in render_chart(part).splitlines()
    assert "| &N.C. . | C | C |" in render_chart_text(part_to_assignment(part)).splitlines()
    measure = ET.fromstring(render_musicxml(part)).find("part/measure")  # noqa: S314 - our own output
    assert measure is not None
    tags = [element.tag for element in measure if element.tag in ("harmony", "note")]
    assert tags[:2] == ["harmony", "note"]
    assert measure.find("harmony/offset") is None


def _tune(*bars: list[tuple[int, int, int]]) -> Part:
    """Return bars of single notes; an empty one is a bar of C."""
    scene = Scene()
    for bar, notes in enumerate(bars, start=1):
        if notes:
            scene.line([(bar, *note) for note in notes])
        else:
            scene.chord("C", "x32010")
            scene.strum(bar, 0)
    return scene.part(len(bars))


def test_a_bar_whose_single_notes_differ_is_no_repeat() -> None:
    other = [*TUNE[:3], (36, 5, 2)]
    row = next(line for line in render_chart(_tune([], TUNE, TUNE, other)).splitlines() if line.startswith("  1 |"))
    assert [cell.strip() for cell in row.split("|")[1:5]] == ["C", "N.C.", "%", "N.C."]


def test_bars_whose_single_notes_differ_are_not_folded() -> None:
    other = [*TUNE[:3], (36, 5, 2)]
    assert ":| ×4" in render_chart(_tune([], TUNE, [], TUNE, [], TUNE, [], TUNE))
    assert "×" not in render_chart(_tune([], TUNE, [], other, [], TUNE, [], TUNE))


def test_notes_that_no_string_has_are_named_in_one_sentence() -> None:
    part = _tune([], TUNE, TUNE)
    line = part.events[1]
    low = [replace(stroke, notes=(replace(stroke.notes[0], pitch=Pitch(38), string_index=None, fret=None),))
           for stroke in line.strokes[:2]]  # fmt: skip
    told = replace(part, events=(part.events[0], replace(line, strokes=(*low, *line.strokes[2:])), *part.events[2:]))
    again = replace(told.events[2], strokes=(low[0],))
    text = render_tablature(replace(told, events=(*told.events[:2], again)), style=TextStyle(width=120))
    assert text.splitlines()[-1] == "No string has D2 (bar 2.1, bar 3.1)."
