"""Whether everything is higher or lower than set: a capo, a tuning, another key, or another piece."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.assessment import assess
from listen.document import finding_words, parse_chart, parse_chords
from listen.reading import OtherKey, OtherSetting
from tests.hand_made_performances import hear_chords

SHAPES = {
    "C": "C3 E3 G3 C4 E4", "G": "G2 B2 D3 G3 B3 G4", "Am": "A2 E3 A3 C4 E4", "F": "F2 C3 F3 A3 C4 F4",
    "Em": "E2 B2 E3 G3 B3 E4", "D": "D3 A3 D4 F#4", "Bm": "B2 F#3 B3 D4 F#4", "A": "A2 E3 A3 C#4 E4",
}  # fmt: skip
SONG = "| D | A | Bm | G | D | A | Em | A | D | A | Bm | G | Em | A | D | D |"
OTHER_SONG = "Em C G D Em C G D Am Em C D Em C D Em"


def rows(names: str, times: int = 1) -> list[str]:
    """Strokes on each chord."""
    return [SHAPES[name] for name in names.split() for _ in range(times)]


@pytest.mark.parametrize("asked", ["x32010", "C", "C F"])
def test_one_or_two_chords_are_not_taken_for_others_moved(asked: str) -> None:
    played = "D" if asked != "C F" else "D G"
    check = assess(hear_chords(rows(played, 8)), parse_chords(asked))
    assert "does not look like what was set" in check.refused


def test_a_song_of_two_chords_has_another_capo() -> None:
    check = assess(hear_chords(rows("G D G D", 4), moved=2), parse_chart("tempo: 60\n| G | D | G | D |"))
    assert [one.measure for one in check.findings] == [OtherSetting(2, 0)]


def test_a_higher_key_in_open_shapes_is_no_capo() -> None:
    chart = parse_chords("C Am G F C Am G F")
    check = assess(hear_chords(rows("D Bm A G D Bm A G")), chart)
    assert [one.measure for one in check.findings] == [OtherKey("D major", "C major", 2, is_in_tune=True)]
    capo = assess(hear_chords(rows("C Am G F C Am G F"), moved=2), chart)
    assert [one.measure for one in capo.findings] == [OtherSetting(2, 0)]


def test_another_song_does_not_pass_as_this_one_moved_and_out_of_order() -> None:
    check = assess(hear_chords(rows(OTHER_SONG, 4), gap_s=0.55), parse_chart(f"tempo: 96\n{SONG}"))
    assert "does not look like what was set" in check.refused
    assert check.findings == ()


@pytest.mark.parametrize(
    ("played", "kind"),
    [("C G Am C Am G C", "left out"), ("C G Am F C Em G C", "chord"), ("C G Am F Am F C Am G C", "restart")],
)
def test_one_mistake_does_not_hide_the_capo(played: str, kind: str) -> None:
    chart = parse_chart("tempo: 60\n| C | G | Am | F | C | Am | G | C |")
    check = assess(hear_chords(rows(played, 4), moved=2), chart)
    assert OtherSetting(2, 0) in [one.measure for one in check.findings]
    assert {one.kind for one in check.findings} <= {"setting", kind, "repeated"}


def test_a_guitar_between_semitones_is_said_in_cents() -> None:
    played = replace(hear_chords(rows("C G Am F C G Am F"), moved=-1), tuning_offset_cents=30.0)
    (one,) = assess(played, parse_chords("C G Am F C G Am F")).findings
    assert one.measure == OtherSetting(-1, 0, 30)
    assert finding_words(one) == ("no capo", "everything 70 cents lower")
