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


@pytest.mark.parametrize(("played", "wrong"), [("C G Am F", 0), ("C G Em F", 3), ("C Dm Am F", 2), ("C G Am Dm", 4)])
@pytest.mark.parametrize("beat_s", [0.3, 0.6])
def test_a_chord_lasts_from_its_first_stroke_to_the_next_chord_and_is_told_where_it_begins(
    played: str, wrong: int, beat_s: float
) -> None:
    """Bars were told to last a second each, whatever was played; a bar is heard and looked for by its times."""
    told = assess(perform(strum(played.split(), beat_s=beat_s)), parse_chords("C G Am F"))
    starts_s = [1.0 + 4 * beat_s * bar for bar in range(4)]
    assert [bar.start_s for bar in told.bars] == pytest.approx(starts_s, abs=0.01)
    assert [bar.end_s for bar in told.bars[:3]] == pytest.approx(starts_s[1:], abs=0.01)
    last_s = starts_s[3] + SWAY[-1] * beat_s
    assert last_s < (told.bars[3].end_s or 0.0) <= last_s + 2.001
    assert [one.bar for one in told.findings] == ([wrong] if wrong else [])
    assert [one.time_s for one in told.findings] == pytest.approx([starts_s[wrong - 1]] if wrong else [], abs=0.01)


@pytest.mark.parametrize(
    ("played", "n_rounds"), [("C G Am F", 1), ("C G Am F C G Am F", 2), ("C G Am F C", 1), ("C G Am F C G Am F C", 2)]
)
def test_a_last_chord_that_comes_home_is_no_further_time(played: str, n_rounds: int) -> None:
    told = assess(perform(strum(played.split())), parse_chords("C G Am F"))
    assert len(told.rounds) == n_rounds
    assert told.share_right == 1.0
