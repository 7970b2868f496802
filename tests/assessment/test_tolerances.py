"""How far a student may be off: each tolerance that a teacher sets decides, and no number beside it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import Assignment, Finding, FindingKind, HeardCents, Performance, Tolerances, UnevenStrokes
from tests.hand_made_performances import hear_chords, perform, strum

C_MAJOR, G_MAJOR = "C3 E3 G3 C4 E4", "G2 B2 D3 G3 B3 G4"
ROW = ("C", "Am", "F", "G", "C", "Am", "F", "G")
CHART = f"| {' | '.join(ROW)} |"


def play_at(tempo_bpm: float) -> tuple[Performance, Assignment]:
    return perform(strum(ROW, beat_s=60.0 / tempo_bpm)), parse_chart(f"tempo: 100\n{CHART}")


def wait_before_a_change() -> tuple[Performance, Assignment]:
    """A quarter second late in the third bar."""
    return perform(strum(ROW, {3: 0.25})), parse_chart(f"tempo: 100\n{CHART}")


def change_late() -> tuple[Performance, Assignment]:
    """The first stroke of the third bar is still on the chord before."""
    strokes = strum(ROW, pattern=(0.0, 1.0, 2.0, 3.0))
    return perform([*strokes[:8], (strokes[8][0], ROW[1]), *strokes[9:]]), parse_chart(f"tempo: 100\n{CHART}")


def rush() -> tuple[Performance, Assignment]:
    """From 96 beats a minute to 125, each beat shorter than the one before it by as much."""
    beats = np.array([time_s for time_s, _ in strum(ROW * 2, beat_s=1.0)])
    times = 60.0 / 96.0 * beats + (60.0 / 125.0 - 60.0 / 96.0) / 64.0 * beats**2 / 2.0
    strokes = [(float(time_s), name) for time_s, (_, name) in zip(times, strum(ROW * 2), strict=True)]
    return perform(strokes), parse_chart(f"tempo: 96\n|: {' | '.join(ROW)} :| x2")


def play_unevenly(sigma_ms: float = 60.0) -> tuple[Performance, Assignment]:
    rng = np.random.default_rng(5)
    strokes = [(max(0.0, time_s + float(rng.normal(0.0, sigma_ms / 1000.0))), name) for time_s, name in strum(ROW * 3)]
    return perform(strokes), parse_chart(f"tempo: 100\n|: {' | '.join(ROW)} :| x3")


def play_a_string_sharp() -> tuple[Performance, Assignment]:
    """The first string lies 25 cents over the others."""
    played = hear_chords([C_MAJOR] * 20)
    cents = tuple(HeardCents(midi, 25.0 if midi == 64 else 0.0, 6.0) for midi in (48, 52, 55, 60, 64))
    sounds = tuple(replace(one, cents=cents) for one in played.sounds)
    return replace(played, sounds=sounds), parse_chart("tempo: 60\n|: C :| x5")


def play_downstrokes_only() -> tuple[Performance, Assignment]:
    """Half of the strokes were set to go up."""
    played = hear_chords(([C_MAJOR] * 4 + [G_MAJOR] * 4) * 4, gap_s=0.5)
    strokes = tuple(replace(one, lean=4.0 + 0.5 * (-1) ** at) for at, one in enumerate(played.strokes))
    chart = parse_chart("tempo: 120\npattern: D . U . D . U .\n|: C | G :| x4")
    return replace(played, strokes=strokes), chart


def find(kind: FindingKind, played: tuple[Performance, Assignment], tolerances: Tolerances) -> list[Finding]:
    check = assess(*played, tolerances=tolerances)
    assert not check.refused
    return [one for one in check.findings if one.kind == kind]


@pytest.mark.parametrize(
    ("kind", "played", "tight", "wide"),
    [
        ("tempo", play_at(110.0), Tolerances(tempo_share=0.05), Tolerances(tempo_share=0.3)),
        ("tempo", rush(), Tolerances(tempo_share=0.1), Tolerances(tempo_share=0.7)),
        ("late", change_late(), Tolerances(change_ms=100.0), Tolerances(change_ms=900.0)),
        ("late", wait_before_a_change(), Tolerances(change_ms=100.0), Tolerances(change_ms=600.0)),
        ("uneven", play_unevenly(), Tolerances(uneven_ms=30.0), Tolerances(uneven_ms=200.0)),
        ("out of tune", play_a_string_sharp(), Tolerances(cents=10.0), Tolerances(cents=45.0)),
        ("way", play_downstrokes_only(), Tolerances(way_share=0.8), Tolerances(way_share=0.2)),
    ],
)
def test_what_is_off_is_said_by_a_tight_tolerance_and_not_by_a_wide_one(
    kind: FindingKind, played: tuple[Performance, Assignment], tight: Tolerances, wide: Tolerances
) -> None:
    assert find(kind, played, tight)
    assert not find(kind, played, wide)


def test_what_is_asked_and_what_is_said_are_the_teachers_to_set() -> None:
    """A tempo a little more off than allowed: likelier a mistake than not, and not sure."""
    played = play_at(121.5)
    (found,) = find("tempo", played, Tolerances(ask=0.01, sure=0.99))
    assert 0.5 < found.probability < 0.99
    below, above = found.probability - 0.005, found.probability + 0.005
    assert not find("tempo", played, Tolerances(ask=above, sure=above))
    (asked,) = find("tempo", played, Tolerances(ask=below, sure=above))
    assert not asked.settled
    (said,) = find("tempo", played, Tolerances(ask=below, sure=below))
    assert said.settled


@pytest.mark.parametrize("sigma_ms", [45.0, 80.0])
def test_unevenness_is_the_standard_deviation_of_the_strokes(sigma_ms: float) -> None:
    (uneven,) = find("uneven", play_unevenly(sigma_ms), Tolerances(uneven_ms=20.0))
    assert isinstance(uneven.measure, UnevenStrokes)
    assert uneven.measure.off_ms == pytest.approx(sigma_ms, rel=0.2)
    assert uneven.measure.allowed_ms == 20


def test_even_strokes_that_swing_are_not_uneven() -> None:
    swung = [(time_s + (0.09 if round(time_s / 0.3) % 2 else 0.0), name) for time_s, name in strum(ROW * 3)]
    chart = parse_chart(f"tempo: 100\n|: {' | '.join(ROW)} :| x3")
    assert not find("uneven", (perform(swung), chart), Tolerances(uneven_ms=20.0))
