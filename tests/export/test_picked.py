"""Bars that are picked are told so in every chart: by their strings, never by the arrow of a strum."""

from __future__ import annotations

from dataclasses import replace

from listen.export.chart import ChartView, render_chart
from listen.export.part_sheet import render_part_fragment
from listen.export.set_chart import part_to_assignment
from listen.export.tablature import render_tablature
from listen.reading import Part
from listen.transcription.pattern import find_pattern
from tests.hand_made_parts import Scene

PINCHED = ((0, "{}1"), (12, "3"), (18, "2"), (24, "{}1"), (36, "3"), (42, "2"))


def _pinch(*chords: tuple[str, str, str], upper: str = "2") -> Part:
    """Play a bar of each chord: a bass and the first string together, then the third and another string."""
    scene = Scene()
    for bar, (name, frets, bass) in enumerate(chords, start=1):
        scene.chord(name, frets)
        picked = [(step, strings.format(bass)) for step, strings in PINCHED]
        scene.pick(bar, [*picked[:-1], (42, upper if bar == 3 else "2")])
    part = scene.part(len(chords))
    return replace(part, pattern=find_pattern(part.events))


CHORDS = (("G", "320003", "6"), ("C", "x32010", "5"), ("D", "xx0232", "4"), ("Em", "022000", "6"))


def _pattern_of(chart: str) -> tuple[str, list[str]]:
    lines = chart.split("\n\n")[1].splitlines()
    return " ".join(lines[:-2]), lines[-1].split()


def test_a_picked_pattern_is_told_by_its_strings_and_a_bass_that_moves_as_a_low_one() -> None:
    words, signs = _pattern_of(render_chart(_pinch(*CHORDS)))
    assert signs == ["B1", "3", "2", "B1", "3", "2"]
    assert words == (
        "Pattern, the rhythm of all 4 bars: B a low string picked, a number: the string picked in most bars, "
        "side by side: together"
    )
    assert '<td class="beat">B1<sup></sup></td>' in render_part_fragment(_pinch(*CHORDS))


def test_a_bass_that_stays_has_its_number() -> None:
    words, signs = _pattern_of(render_chart(_pinch(*((name, frets, "4") for name, frets, _ in CHORDS))))
    assert signs[0] == "41"
    assert "low string" not in words


def test_bars_that_pick_other_strings_than_most_show_them() -> None:
    chart = render_chart(_pinch(*CHORDS, upper="1"), view=ChartView("full"))
    shown = [line for line in chart.splitlines() if line.startswith("    |")]
    assert [row.split() for row in shown] == [["|", "|", "|", "41", "3", "2", "41", "3", "1", "|", "|"]]
    assert not set("↓↑↕") & set(chart)


def test_no_picked_stroke_has_an_arrow_in_tablature_or_is_set_as_a_strum() -> None:
    part = _pinch(*CHORDS)
    assert not set("↓↑↕") & set(render_tablature(part))
    assert part_to_assignment(part).pattern == ()
