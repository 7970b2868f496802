"""Whether strokes of the set pattern are missing, from hand-written strokes: only what is missing bar after bar."""

from __future__ import annotations

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import Finding, HeardPitch, HeardSound, Performance, PerformedStroke, StrokesLeftOut
from listen.theory import Pitch

SWAY, SWAY_BEATS = "D . D U . U D U", (1.0, 2.0, 2.5, 3.5, 4.0, 4.5)
CHORDS = ("C3 E3 G3 C4 E4", "G2 B2 D3 G3 B3 G4", "A2 E3 A3 C4 E4", "F2 C3 F3 A3 C4 F4")


def judge_strokes(
    *bars: tuple[float, ...], head: str = f"pattern: {SWAY}", n_bars: int = 8, beats_per_bar: int = 4
) -> Finding | None:
    """What is found of strokes on these beats of bar after bar, from the first again; the last bar has one strum."""
    strokes: list[PerformedStroke] = []
    sounds: list[HeardSound] = []
    for bar in range(n_bars):
        midis = [Pitch.parse(word).midi for word in CHORDS[bar % 4].split()]
        pitches = tuple(HeardPitch(midi, 5.0, 4.0 if midi == midis[0] else -6.0) for midi in midis)
        for beat in bars[bar % len(bars)] if bar < n_bars - 1 else (1.0,):
            time_s = beats_per_bar * bar + beat
            strokes.append(PerformedStroke(time_s, sound=len(sounds)))
            sounds.append(HeardSound(time_s, time_s + 0.5, pitches))
    played = Performance(beats_per_bar * n_bars + 3.0, tuple(strokes), tuple(sounds))
    chart = parse_chart(f"tempo: 60\n{head}\n| {' | '.join(['C', 'G', 'Am', 'F'] * (n_bars // 4))} |")
    return next((one for one in assess(played, chart).findings if one.kind == "pattern"), None)


def test_upstrokes_that_are_all_missing_are_asked_about() -> None:
    """All of them may be too soft for the ear: it is no mark."""
    found = judge_strokes((1.0, 2.0, 4.0))
    assert found is not None
    assert found.measure == StrokesLeftOut((2.5, 3.5, 4.5), "up", 7, 7)
    assert not found.settled


def test_one_strum_a_bar_is_said() -> None:
    found = judge_strokes((1.0,))
    assert found is not None
    assert found.measure == StrokesLeftOut((2.0, 2.5, 3.5, 4.0, 4.5), None, 7, 7)
    assert found.settled


@pytest.mark.parametrize(
    "bars",
    [
        (SWAY_BEATS,),
        ((1.0, 2.0, 2.5, 4.0, 4.5),),  # one place says too little
        ((1.0, 2.0, 4.0), SWAY_BEATS),  # every other bar: soft strokes are lost, and breaks are taken
        ((1.0, 2.0, 3.0, 4.0, 4.5),),  # of two that are missing one came elsewhere
    ],
)
def test_what_is_played_or_lost_now_and_then_is_neither_said_nor_asked(bars: tuple[tuple[float, ...], ...]) -> None:
    assert judge_strokes(*bars) is None


def test_few_bars_say_nothing_of_a_pattern() -> None:
    assert judge_strokes((1.0,), n_bars=4) is None


def test_damped_strokes_are_not_missed() -> None:
    assert judge_strokes((1.0, 3.0), head="pattern: D x D x") is None


def test_the_eighths_of_a_compound_bar_are_counted_as_one_counts_them() -> None:
    found = judge_strokes((1.0, 2.0), head="metre: 6/8\npattern: D D U D D U", beats_per_bar=2)
    assert found is not None
    assert found.measure == StrokesLeftOut((2.0, 3.0, 5.0, 6.0), None, 7, 7)
