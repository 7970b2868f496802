"""Chords that are left out of a row held as long as one likes, from hand-written strokes."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from listen.assessment import assess
from listen.document import parse_chart, parse_chords
from tests.hand_made_performances import NOTES, SWAY, hear_chords, perform, strum

SET = "C G Am F Dm Em G C"


@pytest.mark.parametrize(
    ("played", "left_out"),
    [
        ("C Am F Dm Em G C", {2}),
        ("C G Am F Em G C", {5}),
        ("C G Am F Dm Em C", {7}),
        ("G Am F Dm Em G C", {1}),
        ("C F Dm Em G C", {2, 3}),
        ("C Am F Em G C", {2, 5}),
    ],
)
def test_a_chord_that_is_left_out_is_told_and_the_others_are_right(played: str, left_out: set[int]) -> None:
    told = assess(hear_chords([NOTES[name] for name in played.split()], 2.0), parse_chords(SET))
    assert {(one.kind, one.bar) for one in told.findings} == {("left out", bar) for bar in left_out}
    assert {bar.bar for bar in told.bars if bar.state == "right"} == set(range(1, 9)) - left_out


def test_one_left_out_and_two_wrong_are_told_as_that() -> None:
    """C was played and is right: it was told to be left out, since a jump cost more than to begin elsewhere."""
    told = assess(hear_chords([NOTES[name] for name in ("C", "Am", "F", "Em", "Am", "G", "C")], 2.0), parse_chords(SET))
    assert [(one.kind, one.bar) for one in told.findings] == [("left out", 2), ("chord", 5), ("chord", 6)]


@pytest.mark.parametrize("played", [SET, "C G Am F Dm F G C", "C Am Am F Dm Em G C"])
def test_another_chord_in_its_place_is_none_that_is_left_out(played: str) -> None:
    told = assess(hear_chords([NOTES[name] for name in played.split()], 2.0), parse_chords(SET))
    wrong = [at for at, (own, other) in enumerate(zip(SET.split(), played.split(), strict=True), 1) if own != other]
    assert [(one.kind, one.bar) for one in told.findings] == [("chord", bar) for bar in wrong]


@pytest.mark.parametrize("at", [1, 2, 6, 7])
@pytest.mark.parametrize("other", ["F", "Dm", "Am", "C"])
@pytest.mark.parametrize("pattern", [SWAY, range(4)])
def test_a_wrong_chord_that_is_strummed_is_one_finding_and_the_chord_after_it_is_right(
    at: int, other: str, pattern: Sequence[float]
) -> None:
    """Its last strokes may be placed on the next chord as well; they sound what was played before."""
    played = SET.split()
    played[at - 1] = other
    told = assess(perform(strum(played, pattern=pattern)), parse_chords(SET))
    wrong = [at] if other != SET.split()[at - 1] else []
    assert [(one.kind, one.bar) for one in told.findings] == [("chord", bar) for bar in wrong]


def test_a_wrong_chord_that_is_left_late_is_wrong_once_and_the_change_is_late() -> None:
    strokes = strum(("C", "Dm", "Am", "F"), pattern=range(4))
    strokes[8] = (strokes[8][0], "Dm")  # G was set, and A minor from the next beat on
    told = assess(perform(strokes), parse_chart("tempo: 100\n| C | G | Am | F |"))
    assert [(one.kind, one.bar) for one in told.findings] == [("chord", 2), ("late", 3)]
