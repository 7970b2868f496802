"""A part as homework: what was played is what is set, and what is written is read back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.assessment import lay_out_score
from listen.document import parse_chart, render_chart_text
from listen.export import part_to_assignment
from listen.export.handout import render_click, render_handout, render_set
from listen.export.sound import PAGE_RATE_HZ
from listen.instrument import Fretboard, parse_tuning
from listen.reading import Metre, PatternStroke, SetChange, StrummingPattern
from tests.hand_made_parts import Scene, count_pickup_as_one, straight_part, swing_part


def test_swing_is_set_and_said_and_its_pattern_stands_in_halves_of_beats() -> None:
    strokes = (PatternStroke(0, "down", "full"), PatternStroke(12, "down", "full"), PatternStroke(20, "up", "full"))
    part = replace(swing_part(), pattern=StrummingPattern(strokes, (1, 2), 1.0))
    text = render_chart_text(part_to_assignment(part))
    assert "feel: swing\n" in text
    assert "pattern: D . D U . . . .\n" in text
    read = parse_chart(text)
    assert read.is_swung
    assert "4/4 swing, 120 beats a minute" in render_handout(read)
    assert "feel" not in render_chart_text(part_to_assignment(straight_part()))


@pytest.mark.parametrize(("steps", "beats", "n_bars"), [(36, 3, 3), (42, 0, 3), (6, 0, 2)])
def test_a_pickup_that_is_a_bar_when_its_broken_beat_is_counted_whole_is_a_bar(
    steps: int, beats: int, n_bars: int
) -> None:
    scene = Scene(Metre(4, 4, 2, 96.0, pickup_steps=steps))
    scene.chord("G", "320003")
    scene.strum(0, 48 - steps)
    for bar, (name, frets) in enumerate([("C", "x32010"), ("G", "320003")], start=1):
        scene.chord(name, frets)
        scene.strum(bar, 0)
    read = parse_chart(render_chart_text(part_to_assignment(scene.part(2))))
    assert read.pickup_beats == beats
    assert [bar.changes for bar in read.bars[-2:]] == [(SetChange(0, "C"),), (SetChange(0, "G"),)]
    assert len(read.bars) == n_bars


@pytest.mark.parametrize("steps", [6, 24])
def test_a_short_bar_that_was_told_to_be_bar_one_is_set_whole_and_begins_with_a_rest(steps: int) -> None:
    scene = Scene(Metre(4, 4, 2, 96.0, pickup_steps=steps))
    scene.chord("G", "320003")
    scene.strum(0, 48 - steps)
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    read = parse_chart(render_chart_text(part_to_assignment(count_pickup_as_one(scene.part(1)))))
    assert read.pickup_beats == 0
    assert [bar.changes for bar in read.bars] == [
        (SetChange(0, "N.C."), SetChange(48 - steps, "G")),
        (SetChange(0, "C"),),
    ]


def test_of_several_shapes_of_a_chord_the_one_held_longest_is_set() -> None:
    scene = Scene()
    for bar, (name, frets) in enumerate(
        [("C", "x35553"), ("G", "320003"), ("C", "x32010"), ("C", "x32010"), ("G", "320003")], start=1
    ):
        scene.chord(name, frets)
        scene.strum(bar, 0)
    text = render_chart_text(part_to_assignment(scene.part(5)))
    assert "C = x32010\n" in text
    assert "x35553" not in text


@pytest.mark.parametrize(("capo_fret", "tuning"), [(0, "standard"), (3, "standard"), (2, "drop D")])
def test_the_guitar_that_was_heard_is_the_one_that_is_set(capo_fret: int, tuning: str) -> None:
    scene = Scene(fretboard=Fretboard(parse_tuning(tuning), capo_fret=capo_fret))
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    read = parse_chart(render_chart_text(part_to_assignment(scene.part(1))))
    assert read.capo_fret == capo_fret
    assert read.tuning.open_strings == parse_tuning(tuning).open_strings


def test_a_part_of_two_tempos_is_set_as_one_and_read_back() -> None:
    part = straight_part()
    lines = part.bars.lines_s
    faster = tuple(at if at <= lines[4] else lines[4] + 0.8 * (at - lines[4]) for at in lines)
    assignment = part_to_assignment(replace(part, bars=replace(part.bars, lines_s=faster)))
    assert assignment.tempi_bpm == (96.0,) * 4 + (120.0,) * (len(assignment.bars) - 4)
    text = render_chart_text(assignment)
    assert text.count("tempo=120") == 1
    assert parse_chart(text) == assignment


def test_bars_that_come_back_at_another_tempo_are_no_repeat_of_the_first() -> None:
    scene = Scene()
    row = [("C", "x32010"), ("G", "320003"), ("Am", "x02210"), ("F", "133211")] * 4
    for bar, (name, frets) in enumerate(row, start=1):
        scene.chord(name, frets)
        scene.strum(bar, 0)
    part = scene.part(16)
    lines = part.bars.lines_s
    slower = tuple(at if at <= lines[8] else lines[8] + 2.0 * (at - lines[8]) for at in lines)
    first, second = part_to_assignment(replace(part, bars=replace(part.bars, lines_s=slower))).sections
    assert (first.times, second.times) == (2, 2)
    tempo = 0.5 * 60.0 * 4 / (lines[1] - lines[0])
    assert [bar.tempo_bpm for bar in (*first.bars, *second.bars)] == [None] * 4 + [round(tempo)] + [None] * 3


def test_the_hand_out_shows_its_tempi_and_sounds_and_clicks_in_them() -> None:
    """Two bars at 60 last eight seconds, two at 120 four; a bar of clicks before them four."""
    score = lay_out_score(parse_chart("tempo: 60\n| C | G | tempo=120 C | G |"))
    click = render_click(score)
    onsets = [4.0 + beat for beat in range(8)] + [12.0 + 0.5 * beat for beat in range(8)]
    for onset_s in onsets:
        at = round(onset_s * PAGE_RATE_HZ)
        assert abs(click[at : at + 200]).max() > 0.05
        assert abs(click[at - 200 : at]).max(initial=0.0) < 0.01
    assert len(render_set(score)) == pytest.approx((4.0 + 8.0 + 4.0 + 2.0) * PAGE_RATE_HZ, abs=2)
    page = render_handout(score.assignment)
    assert '<span class="bar-mark">♩=120</span>' in page
    assert "60 beats a minute, 120 from bar 3" in page
    assert 'data-bpm="60, 120"' in page
