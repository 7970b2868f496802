"""The lowest note of a chord where only some of its strokes reach it: an upstroke seldom does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import Check
from tests.hand_made_performances import hear_chords

UP = {"C": "E3 G3 C4 E4", "G": "D3 G3 B3 G4", "F": "F3 A3 C4 F4", "Em": "E3 G3 B3 E4"}
BASSES = {"C": "C3", "G": "G2 B2", "F": "F2 C3", "Em": "E2 B2"}
ROW = ("C", "G", "F", "Em", "C")
WAYS = [("DDDD", 2.0), ("DUDU", 2.0), ("DUU", 2.0), ("UDU", 2.0), ("DUDU", 0.0), ("DDU", 0.0)]
"""How a bar is strummed, and how surely the way of a stroke is told, in log-odds."""


def check_strummed(ways: str, lowest: dict[str, str], lean: float) -> Check:
    """Check the row, each bar strummed down and up in these ways, some chords with other lowest notes."""
    low = BASSES | lowest
    strokes = [f"{low[name]} {UP[name]}" if way == "D" else UP[name] for name in ROW for way in ways]
    chart = parse_chart(f"matters: bass\ntempo: 60\nmetre: {len(ways)}/4\n| {' | '.join(ROW)} |")
    played = hear_chords(strokes)
    leans = [lean if way == "D" else -lean for _ in ROW for way in ways]
    told = [replace(one, lean=own) for one, own in zip(played.strokes, leans, strict=True)]
    return assess(replace(played, strokes=tuple(told)), chart)


@pytest.mark.parametrize(("ways", "lean"), WAYS)
@pytest.mark.parametrize(
    ("name", "lowest", "bar", "said"),
    [
        ("Em", "B2", 4, ("E", "B")),  # x22000: on upstrokes the lowest is an E
        ("F", "C3", 3, ("F", "C")),  # x33211: on upstrokes the lowest is an F
        ("G", "B2", 2, ("G", "B")),  # x20003: on upstrokes the lowest is a D
    ],
)
def test_a_wrong_bass_is_told_by_the_strokes_that_reach_it(
    ways: str, lean: float, name: str, lowest: str, bar: int, said: tuple[str, str]
) -> None:
    (found,) = check_strummed(ways, {name: lowest}, lean).findings
    assert (found.kind, found.bar, (found.expected, found.heard)) == ("bass", bar, said)
    assert found.settled


@pytest.mark.parametrize(("ways", "lean"), WAYS)
def test_upstrokes_that_leave_the_bass_out_are_no_wrong_bass(ways: str, lean: float) -> None:
    assert check_strummed(ways, {}, lean).findings == ()


PICKED = {"D/F#": "F#2 A3 D4 F#4 D3 A3 D4 A3", "C": "C3 G3 C4 E4 G3 C4 E4 C4", "G": "G2 G3 B3 G4 D3 G3 B3 G3"}
ALTERNATED = {"D/F#": "F#2 A3 D3 D4 F#2 F#4 D3 A3", "C": "C3 G3 E3 C4 G2 E4 E3 C4", "G": "G2 G3 D3 B3 B2 G4 D3 G3"}
STRUMMED_AFTER = {"D/F#": "F#2 A3+D4+F#4 D3 A3+D4+F#4", "C": "C3 E3+G3+C4+E4 G2 E3+G3+C4+E4",
                  "G": "G2 D3+G3+B3+G4 D3 D3+G3+B3+G4"}  # fmt: skip
SET_PICKED = ("G", "D/F#", "C", "G")


def check_picked(bars: dict[str, str], first: dict[str, str], left_out: frozenset[int] = frozenset()) -> Check:
    """Check the row, a string or a few at a time; `first` are other notes that chords begin with, and may lack one."""
    rows = [bars[name].split() for name in SET_PICKED]
    rows = [[first.get(name, row[0]), *row[1:]] for name, row in zip(SET_PICKED, rows, strict=True)]
    strokes = [note.replace("+", " ") for row in rows for note in row]
    played = hear_chords(strokes, 0.5)
    kept = tuple(stroke for at, stroke in enumerate(played.strokes) if at not in left_out)
    chart = parse_chart(f"matters: bass\ntempo: 120\nmetre: {len(rows[0])}/4\n| {' | '.join(SET_PICKED)} |")
    return assess(replace(played, strokes=kept), chart)


@pytest.mark.parametrize("bars", [PICKED, ALTERNATED, STRUMMED_AFTER])
def test_the_string_that_a_picked_chord_begins_with_is_its_bass(bars: dict[str, str]) -> None:
    """Inner strings that are picked after it, or a thumb that goes on to another one, do not replace it."""
    assert check_picked(bars, {}).findings == ()


@pytest.mark.parametrize("bars", [PICKED, STRUMMED_AFTER])
@pytest.mark.parametrize(("first", "bar", "said"), [({"D/F#": "D3"}, 2, ("F#", "D")), ({"C": "E3"}, 3, ("C", "E"))])
def test_a_picked_chord_that_begins_with_another_string_has_another_bass(
    bars: dict[str, str], first: dict[str, str], bar: int, said: tuple[str, str]
) -> None:
    (found,) = check_picked(bars, first).findings
    assert (found.kind, found.bar, (found.expected, found.heard)) == ("bass", bar, said)
    assert found.settled


def test_a_picked_chord_whose_beginning_was_not_heard_has_no_wrong_bass() -> None:
    assert check_picked(PICKED, {}, frozenset({8})).findings == ()
