"""Which strings are out of tune, and how much has to be measured for it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.assessment import assess
from listen.document import parse_chart, parse_chords
from listen.reading import (
    Finding,
    GuitarInTune,
    HeardCents,
    OffPitch,
    OtherKey,
    OtherSetting,
    Performance,
    PressLess,
    Tolerances,
    TurnPeg,
)
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


def without_cents(played: Performance) -> Performance:
    """The same where no note was measured: a recording that is too long, or strokes that are too short."""
    return replace(played, sounds=tuple(replace(one, cents=()) for one in played.sounds))


def test_a_guitar_is_called_in_tune_only_where_its_strings_were_measured() -> None:
    played, chart = hear_chords(["C3 E3 G3 C4 E4"] * 40), parse_chart("tempo: 60\n|: C | C :| x5")
    assert GuitarInTune() in assess(played, chart).praise
    unmeasured = assess(without_cents(played), chart)
    assert unmeasured.praise
    assert GuitarInTune() not in unmeasured.praise
    three = replace(
        played, sounds=tuple(replace(one, cents=tuple(HeardCents(at, 0.0, 6.0) for at in STRINGS[:3]))
                             for one in played.sounds)
    )  # fmt: skip
    assert GuitarInTune() not in assess(three, chart).praise


@pytest.mark.parametrize("is_measured", [True, False])
def test_a_guitar_in_another_key_is_called_in_tune_only_where_its_strings_were_measured(is_measured: bool) -> None:
    played = hear_chords(("C3 E3 G3 C4 E4", "G2 B2 D3 G3 B3 G4", "A2 E3 A3 C4 E4", "F2 C3 F3 A3 C4 F4") * 2)
    check = assess(played if is_measured else without_cents(played), parse_chords("F C Dm Bb F C Dm Bb"))
    assert [one.measure for one in check.findings] == [OtherKey("C major", "F major", -5, is_in_tune=is_measured)]


@pytest.mark.parametrize(
    ("cents", "allowed", "is_said"), [(-38.0, 40.0, False), (-38.0, 20.0, True), (46.0, 40.0, True)]
)
@pytest.mark.parametrize("capo_fret", [0, 2])
def test_a_whole_guitar_off_pitch_is_held_against_its_tolerance(
    cents: float, allowed: float, is_said: bool, capo_fret: int
) -> None:
    played = replace(hear_chords(["C3 E3 G3 C4 E4"] * 40, moved=capo_fret), tuning_offset_cents=cents)
    chart = parse_chart(f"capo: {capo_fret}\ntempo: 60\n|: C | C :| x5")
    check = assess(played, chart, tolerances=Tolerances(guitar_cents=allowed))
    said = [OtherSetting(0, capo_fret, round(cents))] if is_said else []
    assert [one.measure for one in check.findings] == said
    assert (GuitarInTune() in check.praise) != is_said
    assert {bar.state for bar in check.bars} == {"right"}


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


@pytest.mark.parametrize("cents", [24.0, 60.0, 90.0])
def test_a_string_that_is_sharp_only_where_it_is_stopped_is_pressed_too_hard_and_so_far_off_as_it_is_there(
    cents: float,
) -> None:
    found = judge_first_string(0.0, cents)
    assert found is not None
    assert found.hint == PressLess(1)
    assert found.measure == OffPitch(round(cents), is_sharp=True)
    assert found.bar % 2 == 0, "where it is stopped"
