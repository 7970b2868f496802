"""A silence is written on the beat on which the strings were damped."""

from __future__ import annotations

import pytest

from listen.export.bar_view import render_bar_fragment
from listen.export.bars import lay_bars
from listen.export.chart import render_chart
from listen.export.score_line import find_items
from listen.export.set_chart import part_to_assignment
from listen.reading import Mark, Metre, Part, SetChange
from tests.hand_made_parts import Scene


def _stop(at: int, *, tempo_bpm: float = 96.0, last: int = 36, until: int = 96, marks: tuple[Mark, ...] = ()) -> Part:
    """Strum beats up to `last`, then silence, then another chord: all in steps from the first bar line."""
    scene = Scene(metre=Metre(4, 4, 2, tempo_bpm))
    scene.chord("E", "022100")
    for step in range(0, last + 1, 12):
        scene.strum(1 + step // 48, step % 48)
    scene.gap(1 + at // 48, at % 48, "silence")
    scene.chord("A", "x02220", marks=marks)
    scene.strum(1 + until // 48, until % 48)
    return scene.part(3)


def _row(part: Part) -> str:
    (row,) = (line for line in render_chart(part).splitlines() if line.startswith("  1 |"))
    return " ".join(row.replace("|", " | ").split()[1:-1])


@pytest.mark.parametrize(
    ("at", "tempo_bpm", "last", "expected"),
    [
        (50, 96.0, 36, "| E | N.C. | A"),
        (52, 96.0, 36, "| E | N.C. | A"),  # 0.21 s
        (54, 96.0, 36, "| E | E N.C. · · | A"),  # 0.31 s
        (51, 54.0, 36, "| E | N.C. | A"),  # a sixteenth of 0.28 s
        (53, 190.0, 36, "| E | N.C. | A"),  # less than half a beat, 0.13 s
        (54, 190.0, 36, "| E | E N.C. · · | A"),
        (50, 96.0, 48, "| E | E N.C. · · | A"),  # a stroke on that beat sounded, if only for a moment
        (75, 96.0, 60, "| E | E · N.C. · | A"),  # half a bar from its beat on, though a little less is silent
    ],
)
def test_a_stop_is_written_on_its_beat_though_strings_take_a_moment_to_die_away(
    at: int, tempo_bpm: float, last: int, expected: str
) -> None:
    assert _row(_stop(at, tempo_bpm=tempo_bpm, last=last)) == expected


def test_a_score_rests_from_the_beat_of_the_stop_on() -> None:
    before, silent, _ = find_items(lay_bars(_stop(50)).played)
    assert [(item.start, item.end) for item in before][-1] == (36, 48)
    assert [(item.start, item.end, item.placed) for item in silent] == [(0, 48, None)]


@pytest.mark.parametrize(
    ("at", "until", "marks", "expected"),
    [
        (68, 92, (), "| E | E · · &A | A"),  # half a bar is silent, and less of it would be written: a chop is no stop
        (72, 90, (), "| E | E · · &A | A"),
        (72, 90, ("pushed",), "| E | E · N.C. · | A"),  # to the beat that the next chord means
    ],
)
def test_a_stop_is_as_long_as_it_is_written(at: int, until: int, marks: tuple[Mark, ...], expected: str) -> None:
    assert _row(_stop(at, last=60, until=until, marks=marks)) == expected


def _stab(at: int, stop: int, marks: tuple[Mark, ...]) -> Part:
    """Strum E, then D at a step, damped at another until A comes with bar 3."""
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    scene.chord("D", "xx0232", marks=marks)
    scene.strum(1, at)
    scene.gap(1 + stop // 48, stop % 48, "silence")
    scene.chord("A", "x02220")
    scene.strum(3, 0)
    return scene.part(3)


@pytest.mark.parametrize(
    ("at", "stop", "marks", "expected"),
    [
        (18, 26, ("pushed",), "| E &D N.C. · | N.C. | A"),
        (30, 38, ("pushed",), "| E · &D N.C. | N.C. | A"),
        (42, 50, ("pushed",), "| E · · &D | N.C. | A"),  # the stop is on the bar line
        (21, 27, (), "| E &D N.C. · | N.C. | A"),  # a sixteenth before the beat
    ],
)
def test_a_chord_struck_ahead_of_a_beat_and_stopped_on_it_stands_before_the_stop(
    at: int, stop: int, marks: tuple[Mark, ...], expected: str
) -> None:
    assert _row(_stab(at, stop, marks)) == expected


def test_homework_sets_a_chord_that_is_stopped_on_the_beat_after_it() -> None:
    first = part_to_assignment(_stab(42, 50, ("pushed",))).bars[0]
    assert first.changes == (SetChange(0, "E"), SetChange(42, "D"))


@pytest.mark.parametrize(("stopped", "n_stops"), [((2,), 1), ((1, 2, 4), 0), ((1, 2, 3, 4), 0)])
def test_a_part_that_is_played_in_chops_has_no_stop_in_each_bar(stopped: tuple[int, ...], n_stops: int) -> None:
    """One stroke to a bar, which is damped after a beat in some."""
    scene = Scene(metre=Metre(4, 4, 2, 96.0))
    for bar in (1, 2, 3, 4):
        scene.chord("E", "022100")
        scene.strum(bar, 0)
        if bar in stopped:
            scene.gap(bar, 12, "silence")
    scene.strum(5, 0)
    assert render_chart(scene.part(5)).count("N.C.") == n_stops


def test_a_stop_in_a_pickup_is_counted_from_its_whole_bar() -> None:
    scene = Scene(metre=Metre(4, 4, 2, 96.0, pickup_steps=36))
    scene.chord("E", "022100")
    scene.strum(0, 12)
    scene.gap(0, 24, "silence")
    scene.chord("A", "x02220")
    scene.strum(1, 0)
    html = render_bar_fragment(scene.part(1), 0, curve=b"", step_s=0.05) or ""
    assert "No chord from beat 3 on." in html
    assert 'data-what="held on" data-value="3"' in html
