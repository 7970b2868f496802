"""Tablature in text."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable

import pytest

from listen.evidence import Direction
from listen.export.style import TextStyle
from listen.export.tablature import render_tablature, string_names
from listen.reading import Part
from tests.hand_made_parts import ALL_PARTS, Scene, line_part, straight_part, unheld_part, waltz_part

EVERY_PART = pytest.mark.parametrize("make", ALL_PARTS.values(), ids=ALL_PARTS.keys())


@EVERY_PART
def test_every_string_carries_its_frets_in_order(make: Callable[[], Part]) -> None:
    part = make()
    expected: dict[int, list[int]] = defaultdict(list)
    for event in part.events:
        for note in event.notes:
            if note.string_index is not None and note.fret is not None:
                expected[note.string_index].append(note.fret)
    names = string_names(part.fretboard)
    rows = [line for line in render_tablature(part, style=TextStyle(unicode=False)).splitlines() if "|-" in line]
    n = len(names)
    read: dict[int, list[int]] = defaultdict(list)
    for at, row in enumerate(rows):
        assert row.split()[0].rstrip("|") == names[at % n]
        found = [int(fret) for fret in re.findall(r"\d+", row.split("|", 1)[1])]
        if found:
            read[n - 1 - at % n] += found
    assert read == expected


@EVERY_PART
def test_tablature_fits_the_width(make: Callable[[], Part]) -> None:
    text = render_tablature(make(), style=TextStyle(unicode=False))
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 80


def test_strings_of_a_bar_are_of_one_length() -> None:
    for make in ALL_PARTS.values():
        blocks = re.split(r"\n\s*\n", render_tablature(make()))
        for block in blocks[1:]:
            rows = [line for line in block.splitlines() if "|-" in line]
            assert len({line.rindex("|") for line in rows}) <= 1


def test_marks_stand_where_the_trade_puts_them() -> None:
    text = render_tablature(line_part())
    assert "-0---3-h5--" in text
    assert "<12>" in text


def test_a_damped_stroke_crosses_every_string() -> None:
    rows = [line for line in render_tablature(straight_part()).splitlines() if "|-" in line]
    assert sum(row.count("x") for row in rows) == 2 * 6


def test_frets_count_from_the_capo() -> None:
    text = render_tablature(waltz_part())
    assert "Capo 3" in text
    assert "A |-0-2--|-3---3-------|" in text


def test_notes_without_a_hand_are_named() -> None:
    assert "At bar 1.1, no hand found: C3 E3 A3 C4 E4 G5. More than one hand can hold." in render_tablature(
        unheld_part()
    )


def test_two_strokes_at_one_place_are_two_columns() -> None:
    """A string struck at fret 1 twice within one step was written ``11``, which is the eleventh fret."""
    scene = Scene()
    scene.chord("F", "133211")
    for step in (0, 0, 24):
        scene.strum(1, step)
    rows = [line for line in render_tablature(scene.part(1)).splitlines() if "|-" in line]
    assert rows[0].startswith("E |-1-1-")
    assert len({row.rindex("|") for row in rows}) == 1
    signs = render_tablature(scene.part(1)).splitlines()[-1]
    assert signs.split() == ["↓", "↓", "↓"]


def test_under_the_strings_stands_which_way_the_hand_went() -> None:
    scene = Scene()
    scene.chord("Em", "022000")
    ways: tuple[Direction, ...] = ("down", "down", "up", "up", "down", "up")
    for step, way in zip((0, 12, 18, 30, 36, 42), ways, strict=True):
        scene.strum(1, step, way)
    text = render_tablature(scene.part(1), style=TextStyle(unicode=False))
    last = [line for line in text.splitlines() if line.strip()][-1]
    assert last.split() == ["D", "D", "U", "U", "D", "U"]
