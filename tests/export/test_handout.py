"""The sheet of a homework that is handed out: shapes, chart, strokes, and how it sounds."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest

from listen.document import parse_chart
from listen.export import render_handout
from listen.synthesis import PluckedNote, notes

SET = parse_chart(
    "title: Harbour Lights\ncapo: 2\ntempo: 96\npattern: D . D U . U D U\n|: C | G/B | Am F | . . &G . :| ×2"
)


def test_the_sheet_shows_shapes_chart_strokes_and_a_click() -> None:
    page = render_handout(SET)
    assert page.count("<audio") == 2
    assert "fret 2" in page
    assert "×2" in page
    assert "A filled square is the root, a ring another tone, a number the finger" in page
    assert ".bar:nth-child(4n):not(.closes) { border-right" in page


def test_the_pattern_to_play_is_counted_and_explained() -> None:
    page = render_handout(parse_chart("metre: 6/8\npattern: D . . D U *\n| C |"))
    counts = re.search(r'<tr class="counts">(.*?)</tr>', page)
    assert counts is not None
    assert re.findall(r"<td[^>]*>(.*?)</td>", counts[1]) == list("123456")
    assert counts[1].count('class="beat"') == 2
    assert "Strumming pattern of each bar: ↓ down, ↑ up, ↕ either way" in page
    page = render_handout(SET)
    counts = re.search(r'<tr class="counts">(.*?)</tr>', page)
    assert counts is not None
    assert re.findall(r"<td[^>]*>(.*?)</td>", html.unescape(counts[1])) == list("1&2&3&4&")


def test_a_long_sheet_plucks_each_note_once_and_says_that_its_sound_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four minutes of beats took half a minute of CPU; there are four chords in them."""
    plucked: list[PluckedNote] = []

    def count(note: PluckedNote, *settings: Any, **named: Any) -> Any:
        plucked.append(note)
        return original(note, *settings, **named)

    original = notes._render_note
    monkeypatch.setattr(notes, "_render_note", count)
    monkeypatch.setattr("listen.export.handout.LONGEST_S", 12.0)
    page = render_handout(parse_chart("title: Long\ntempo: 160\n|: C | G | Am | F :| ×20"))
    assert 18 <= len(plucked) <= 30
    assert "How it sounds, the first 0.2 minutes" in page
