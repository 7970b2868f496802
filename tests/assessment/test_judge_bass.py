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
