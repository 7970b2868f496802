"""A part whose key changes, in everything that writes a part down.

Common practice, no source: a new key is written at its bar, and letters and numbers follow it from there on.
"""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from dataclasses import replace
from typing import Any

import mido
import music21
import pytest

from listen.document import parse_part
from listen.document.part_document import part_to_document
from listen.errors import DocumentError
from listen.export import render_chart, render_midi, render_musicxml, render_tablature
from listen.export.chart import ChartView
from listen.export.held_names import NameStyle
from listen.export.part_sheet import render_part_fragment
from listen.export.style import TextStyle
from listen.reading import KeyChange, Part, PartKey
from listen.theory import Note, Pitch
from tests.hand_made_parts import Scene

FORMS = {"G": "320003", "C": "x32010", "D": "xx0232", "Em": "022000", "A": "x02220", "E": "022100", "F#m": "244222"}
VERSE, CHORUS = "G C D Em G C D G", "A D E F#m A D E A"


def _key(text: str) -> PartKey:
    return PartKey(Note.parse(text.rstrip("m")), "minor" if text.endswith("m") else "major", 0.97)


def changing_part() -> Part:
    """Make a part in G whose second eight bars are in A."""
    scene, names = Scene(), f"{VERSE} {CHORUS} {VERSE}".split()
    for bar, name in enumerate(names, start=1):
        scene.chord(name, FORMS[name])
        for step in range(0, 48, 12):
            scene.strum(bar, step)
    part = scene.part(len(names), tonic="G")
    changes = (KeyChange(9, _key("A")), KeyChange(17, _key("G")))
    return replace(part, bars=replace(part.bars, key_changes=changes))


def _cells(chart: str, bar: int) -> list[str]:
    line = next(one for one in chart.splitlines() if one.startswith(f"{bar:>3} "))
    return [cell.strip() for cell in line[4:].strip("|").split("|")]


def test_the_chart_says_a_key_at_its_bar_and_all_of_them_at_its_head() -> None:
    chart = render_chart(changing_part())
    assert "Key G major, A major from bar 9, G major from bar 17" in " ".join(chart.splitlines())
    assert _cells(chart, 9)[:2] == ["key of A: A", "D"]
    assert "key of G: as bars 1 to 8" in chart
    full = render_chart(changing_part(), view=ChartView(level="full"))
    assert "| key of A: A" in full
    assert "key of A: A" in render_tablature(changing_part())
    assert "key of A" in render_part_fragment(changing_part())


@pytest.mark.parametrize(
    ("style", "numbers"), [("nashville", ["1", "4", "5", "6-"]), ("roman", ["I", "IV", "V", "vi"])]
)
def test_numbers_are_counted_in_the_key_that_holds(style: NameStyle, numbers: list[str]) -> None:
    chart = render_chart(changing_part(), view=ChartView(names=style))
    assert _cells(chart, 1)[:4] == numbers
    assert _cells(chart, 9)[:4] == [f"1 = A: {numbers[0]}", *numbers[1:]]
    assert "1 = G: as bars 1 to 8" in chart


def test_a_chord_that_comes_early_is_counted_in_the_key_of_its_bar() -> None:
    part = changing_part()
    early = replace(part.spans[8], position=replace(part.spans[7].position, bar=8, step=42), marks=("pushed",))  # type: ignore[type-var]
    pushed = replace(part, spans=(*part.spans[:8], early, *part.spans[9:]))
    chart = render_chart(pushed, view=ChartView(names="nashville"), style=TextStyle(width=120))
    assert "2" not in {name for bar in (5, 9) for cell in _cells(chart, bar) for name in cell.split()}


def test_under_a_capo_the_key_at_a_bar_is_that_of_the_forms() -> None:
    part = changing_part()
    chart = render_chart(replace(part, fretboard=replace(part.fretboard, capo_fret=2)))
    assert "A major from bar 9" in " ".join(chart.splitlines())
    assert _cells(chart, 9)[0].startswith("key of G:")  # which sounds in A
    assert "key of F: as bars 1 to 8" in chart


def test_musicxml_has_the_key_at_its_measure_and_music21_reads_it() -> None:
    xml = render_musicxml(changing_part())
    measures = ET.fromstring(xml.split(b"\n", 2)[2]).findall(".//measure")  # noqa: S314  (written a line above)
    fifths = {one.get("number"): one.findtext("attributes/key/fifths") for one in measures}
    assert {number: text for number, text in fifths.items() if text} == {"1": "1", "9": "3", "17": "1"}
    score: Any = music21.converter.parseData(xml.decode(), format="musicxml")
    keys = score.parts[0].recurse().getElementsByClass("KeySignature")
    assert [(key.measureNumber, key.sharps) for key in keys] == [(1, 1), (9, 3), (17, 1)]
    c_sharps = [one for one in measures[8].iter("note") if one.findtext("pitch/step") == "C"]
    assert c_sharps
    assert all(note.find("accidental") is None for note in c_sharps)  # it is in the signature


def test_midi_has_a_key_signature_at_the_bar() -> None:
    part = changing_part()
    conductor = mido.MidiFile(file=io.BytesIO(render_midi(part))).tracks[0]
    at, found = 0, []
    for message in conductor:
        at += message.time
        if message.type == "key_signature":
            found.append((at // (4 * 480), at % (4 * 480), message.key))
    assert found == [(0, 0, "G"), (8, 0, "A"), (16, 0, "G")]


def test_letters_of_a_melody_are_spelled_in_the_key_of_their_bar() -> None:
    scene = Scene()
    scene.line([(1, 0, 1, 2), (2, 0, 1, 2), (3, 0, 1, 2)])
    part = scene.part(3, tonic="D")
    flat = replace(part.bars, key_changes=(KeyChange(2, _key("Db")),))
    full = render_chart(replace(part, bars=flat), view=ChartView(level="full"))
    assert part.events[0].notes[0].pitch == Pitch(66)
    assert "F♯" in full.split("2 |")[0]
    assert "G♭" in full


def test_the_document_tells_the_changes_and_one_without_them_opens() -> None:
    part = changing_part()
    document = part_to_document(part)
    assert [(one["bar"], one["tonic"], one["mode"]) for one in document["key_changes"]] == [
        (9, "A", "major"), (17, "G", "major"),
    ]  # fmt: skip
    assert parse_part(document, name="part.json") == part
    del document["key_changes"]
    older = parse_part(document, name="part.json")
    assert older == replace(part, bars=replace(part.bars, key_changes=()))
    assert "key_changes" not in part_to_document(older)


@pytest.mark.parametrize(
    ("bars", "sentence"),
    [
        ((1,), r"key changes: no key changes at bar 1: bars 2 to 24"),
        ((25,), r"no key changes at bar 25"),
        ((17, 9), r"bar 9 stands after bar 17; write the bars in order, each once"),
        ((9, 9), r"bar 9 stands after bar 9"),
    ],
)
def test_a_change_that_cannot_be_is_refused(bars: tuple[int, ...], sentence: str) -> None:
    part = changing_part()
    changes = tuple(KeyChange(bar, _key("A")) for bar in bars)
    document = part_to_document(replace(part, bars=replace(part.bars, key_changes=changes)))
    with pytest.raises(DocumentError, match=sentence):
        parse_part(document, name="part.json")
