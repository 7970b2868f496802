"""Title, sections and words that a person gave stand in every form that can hold them."""

from __future__ import annotations

import io
from dataclasses import replace
from xml.etree import ElementTree as ET

import mido
import music21
import pytest

from listen.document import render_chart_text
from listen.export import (
    ChartView,
    TextStyle,
    part_to_assignment,
    render_chart,
    render_midi,
    render_musicxml,
    render_part_sheet,
    render_tablature,
)
from listen.export.told_words import find_words, lay_words
from listen.reading import Correction, Part
from tests.hand_made_parts import Scene, straight_part

LONG = "Salt on the window, rain on the glass, and nobody home for a while"


@pytest.fixture(scope="module")
def part() -> Part:
    played = straight_part()
    first = {
        event.position.bar: event.number
        for event in reversed(played.events)
        if event.position is not None and event.notes
    }
    given = (
        Correction("title", "Ferry Song"),
        Correction("section", "Bridge", first[3]),
        Correction("lyrics", LONG, first[1]),
        Correction("lyrics", "and on", first[2]),
    )
    return replace(played, settled=replace(played.settled, corrections=given))


def test_a_part_that_was_given_no_title_is_called_by_its_recording_in_every_form() -> None:
    played = straight_part()
    assert "take one.wav" in played.recording.file
    assert [text.splitlines()[0] for text in (render_chart(played), render_tablature(played))] == ["take one"] * 2
    assert "<h1>take one</h1>" in render_part_sheet(played)
    assert part_to_assignment(played).title == "take one"


def test_words_at_a_chord_that_comes_early_stand_at_the_bar_that_it_is_meant_for() -> None:
    """The heading stood a bar before the chord that a chart writes behind the bar line."""
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    scene.chord("A", "x02220", marks=("pushed",))
    scene.strum(1, 42)
    scene.strum(3, 0)
    played = scene.part(3)
    given = (Correction("section", "Chorus", 2), Correction("lyrics", "home", 2))
    told = replace(played, settled=replace(played.settled, corrections=given))
    assert [find_words(told, what) for what in ("section", "lyrics")] == [{2: "Chorus"}, {2: "home"}]


def test_words_at_a_chord_that_comes_early_in_the_last_bar_stay_in_it() -> None:
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    scene.chord("A", "x02220", marks=("pushed",))
    scene.strum(2, 42)
    played = scene.part(2)
    given = (Correction("section", "End", 2), Correction("lyrics", "home", 2))
    told = replace(played, settled=replace(played.settled, corrections=given))
    assert [find_words(told, what) for what in ("section", "lyrics")] == [{2: "End"}, {2: "home"}]
    assert {"End", "home"} <= {line.strip() for line in render_chart(told).splitlines()}


def test_words_of_one_bar_are_joined_in_their_order() -> None:
    """Only the last was printed, also where a chord comes early and words are told at the beat behind it."""
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    scene.chord("A", "x02220", marks=("pushed",))
    scene.strum(1, 42)
    scene.chord("D", "xx0232")
    scene.strum(2, 0)
    scene.strum(2, 24)
    played = scene.part(2)
    given = tuple(Correction("lyrics", words, number) for words, number in (("lo lo", 4), ("la la", 3), ("oh", 2)))
    told = replace(played, settled=replace(played.settled, corrections=given))
    numbers = [event.number for event in told.events]
    assert numbers == [1, 2, 3, 4]
    assert find_words(told, "lyrics") == {2: "oh la la lo lo"}


@pytest.mark.parametrize("form", ["plain", "full", "tablature"])
def test_words_stand_under_their_bars_and_a_section_begins_its_line(part: Part, form: str) -> None:
    style = TextStyle(width=80)
    text = (
        render_tablature(part, style=style)
        if form == "tablature"
        else render_chart(part, style=style, view=ChartView(form))  # type: ignore[arg-type]
    )
    lines = text.splitlines()
    assert lines[0] == "Ferry Song"
    assert max(map(len, lines)) <= 80
    at = lines.index("Bridge")
    assert lines[at + 1].split()[0] == "3"
    sung = next(place for place, line in enumerate(lines) if line.strip().startswith("Salt"))
    later = next(place for place, line in enumerate(lines) if line.strip() == "and on")
    assert sung < later < at
    assert lines[later].index("and") > lines[sung].index("Salt")


def test_a_chart_to_set_has_the_title(part: Part) -> None:
    assert render_chart_text(part_to_assignment(part)).startswith("title: Ferry Song\n")


def test_music21_reads_title_section_and_words(part: Part) -> None:
    """Outside check: music21 (Cuthbert and Ariza 2010) as the reader."""
    written = render_musicxml(part)
    score = music21.converter.parseData(written, format="musicxml")
    assert score.metadata.movementName == "Ferry Song"
    marks = {mark.content: mark.measureNumber for mark in score.recurse().getElementsByClass("RehearsalMark")}
    assert marks == {"Bridge": 3}
    words = {note.measureNumber: note.lyric for note in score.recurse().notes if note.lyric}
    assert words == {1: LONG, 2: "and on"}
    bars = ET.fromstring(written).findall("./part/measure")  # noqa: S314  (written a line above)
    assert [len(bar.findall("note/lyric")) for bar in bars[:3]] == [1, 1, 0]


def test_the_sheet_has_them_too(part: Part) -> None:
    page = render_part_sheet(part)
    for words in ("Ferry Song", "Bridge", LONG):
        assert words in page


def test_words_and_titles_are_no_wider_than_the_terminal(part: Part) -> None:
    long = "Sturmlaternenanzünderlied" * 4
    given = tuple(replace(one, value=f"{one.value} {long}") for one in part.settled.corrections)
    told = replace(part, settled=replace(part.settled, corrections=given))
    style = TextStyle(width=48)
    for text in (
        render_chart(told, style=style),
        render_chart(told, style=style, view=ChartView("full")),
        render_tablature(told, style=style),
    ):
        assert max(map(len, text.splitlines())) <= 48
    assert lay_words([(34, long)], TextStyle(width=40))[0].strip() == long[:8]


def test_midi_has_the_title(part: Part) -> None:
    """Outside check: mido as the reader."""
    track = mido.MidiFile(file=io.BytesIO(render_midi(part))).tracks[0]
    assert next(message.name for message in track if message.type == "track_name") == "Ferry Song"
