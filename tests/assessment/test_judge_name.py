"""Chords that are others than set: for some of their beats, or by the note that makes them what they are."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from listen.assessment import assess
from listen.assessment.vocabulary import list_chords
from listen.document import parse_chart
from listen.export.finding_sentences import finding_sentence
from listen.reading import Finding, PartOfChord
from tests.hand_made_performances import hear_chords, perform, strum

SHAPES = {
    "C": "C3 E3 G3 C4 E4", "G": "G2 B2 D3 G3 B3 G4", "Am": "A2 E3 A3 C4 E4", "F": "F2 C3 F3 A3 C4 F4",
    "E": "E2 B2 E3 G#3 B3 E4", "A": "A2 E3 A3 C#4 E4", "D": "D3 A3 D4 F#4", "D7": "D3 A3 C4 F#4",
    "Em": "E2 B2 E3 G3 B3 E4", "Em7": "E2 B2 D3 G3 B3 E4", "Am7": "A2 E3 G3 C4 E4",
}  # fmt: skip


def find(chart: str, bars: str) -> tuple[Finding, ...]:
    """What is found of bars of four strokes, a chord a stroke: ``C C C C | ...``."""
    strokes = [SHAPES[name] for bar in bars.split("|") for name in bar.split()]
    return assess(hear_chords(strokes), parse_chart(f"tempo: 60\n{chart}")).findings


@pytest.mark.parametrize(
    ("bar", "expected", "heard", "part"),
    [
        ("G G A A", "G", "A", PartOfChord(3, goes_on=True)),
        ("E E G G", "G", "E", PartOfChord(2, goes_on=False)),
        ("G G Am Am", "G", "Am", PartOfChord(3, goes_on=True)),  # the next chord, two beats too early
    ],
)
def test_a_wrong_chord_for_half_a_bar_is_found_with_its_beats(
    bar: str, expected: str, heard: str, part: PartOfChord
) -> None:
    (one,) = find("| C | G | Am | F |", f"C C C C | {bar} | Am Am Am Am | F F F F")
    assert (one.kind, one.bar, one.expected, one.heard, one.measure) == ("chord", 2, expected, heard, part)
    assert one.settled


def test_strokes_that_are_heard_as_one_sound_count_each() -> None:
    rows = [SHAPES[name] for name in (*"CCCCGGAA", *["Am"] * 4, *"FFFF")]
    played = hear_chords(rows)
    first = [rows.index(row) for row in rows]
    strokes = tuple(replace(one, sound=first[at]) for at, one in enumerate(played.strokes))
    (one,) = assess(replace(played, strokes=strokes), parse_chart("tempo: 60\n| C | G | Am | F |")).findings
    assert (one.bar, one.heard, one.measure) == (2, "A", PartOfChord(3, goes_on=True))


@pytest.mark.parametrize("bar", ["G G G G", "G G G Am", "G A G G", "A G G G"])
def test_one_stroke_of_another_chord_is_no_part(bar: str) -> None:
    assert find("| C | G | Am | F |", f"C C C C | {bar} | Am Am Am Am | F F F F") == ()


def test_the_beats_of_a_wrong_chord_are_said_and_flats_printed() -> None:
    one = Finding("chord", 4, 1.0, 9.0, "Bb", "Ab", measure=PartOfChord(3, goes_on=True))
    assert finding_sentence(one) == "Bar 4 should be B♭; it sounds like A♭ from beat 3 on."


@pytest.mark.parametrize(("set_name", "played"), [("Em7", "G"), ("Am7", "C"), ("D7", "D"), ("Em7", "Em")])
def test_a_root_or_a_seventh_in_no_stroke_is_a_question(set_name: str, played: str) -> None:
    chart = f"| C | F | {set_name} | F |"
    (one,) = find(chart, f"C C C C | F F F F | {' '.join([played] * 4)} | F F F F")
    assert (one.kind, one.bar, one.expected, one.heard) == ("chord", 3, set_name, played)
    assert one.is_asked
    assert find(chart, f"C C C C | F F F F | {' '.join([set_name] * 4)} | F F F F") == ()


def test_a_stop_inside_a_bar_that_holds_one_chord_costs_no_more_than_its_own_finding() -> None:
    strokes = [(time_s + 4.0 * (time_s >= 8.9), name) for time_s, name in strum(("C", "Am", "F", "G", "C", "Am"))]
    found = assess(perform(strokes), parse_chart("tempo: 100\n| C | Am | F | G | C | Am |")).findings
    assert [(one.kind, one.bar, one.is_stop) for one in found] == [("late", 4, True)]


def test_the_page_says_how_many_chords_are_weighed() -> None:
    told = (Path(__file__).parents[2] / "docs" / "homework.md").read_text("utf-8")
    assert f"weighed against the others of {len(list_chords()[0])}." in told
