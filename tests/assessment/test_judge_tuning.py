"""Which strings are out of tune, and how much has to be measured for it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import Finding, HeardCents, OffPitch, PressLess, TurnPeg
from tests.hand_made_performances import hear_chords

STRINGS = (48, 52, 55, 60)  # of C, without the highest


@pytest.mark.parametrize(("measured_every", "strings"), [(2, [1]), (4, [1]), (10, [])])
def test_a_string_that_is_measured_in_few_of_its_sounds_is_not_judged(measured_every: int, strings: list[int]) -> None:
    """Another sounds an octave below it: the few measurements are of partials that both have."""
    played = hear_chords(["C3 E3 G3 C4 E4"] * 40)
    sounds = tuple(
        replace(
            one,
            cents=tuple(HeardCents(midi, 0.0, 6.0) for midi in STRINGS)
            + ((HeardCents(64, 31.0, 4.0),) if at % measured_every == 0 else ()),
        )
        for at, one in enumerate(played.sounds)
    )
    check = assess(replace(played, sounds=sounds), parse_chart("tempo: 60\n|: C | C :| x5"))
    assert [one.string for one in check.findings] == strings


def judge_first_string(open_cents: float, stopped_cents: float) -> Finding | None:
    """What is found of a first string that lies so far off where it is open, and where it is stopped (G: fret 3)."""
    played = hear_chords((["C3 E3 G3 C4 E4"] * 4 + ["G2 B2 D3 G3 B3 G4"] * 4) * 5)
    off = {64: open_cents, 67: stopped_cents}
    sounds = tuple(
        replace(one, cents=tuple(HeardCents(pitch.midi, off.get(pitch.midi, 0.0), 6.0) for pitch in one.pitches))
        for one in played.sounds
    )
    chart = parse_chart("tempo: 60\nC = x32010\nG = 320003\n|: C | G :| x5")
    return next(iter(assess(replace(played, sounds=sounds), chart).findings), None)


@pytest.mark.parametrize("cents", [-32.0, 32.0])
def test_a_flat_string_is_tuned_up_and_a_sharp_one_down(cents: float) -> None:
    found = judge_first_string(cents, cents)
    assert found is not None
    assert found.string == 1
    assert found.measure == OffPitch(32, is_sharp=cents > 0)
    assert found.hint == TurnPeg(1, is_up=cents < 0)


def test_a_string_that_is_sharp_only_where_it_is_stopped_is_pressed_too_hard() -> None:
    found = judge_first_string(0.0, 60.0)
    assert found is not None
    assert found.hint == PressLess(1)
