"""What is said of stops before bars and chords, of chords held over bars, and of how few strokes tell a tempo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import ChangesInTime, Check, OffBeat, StoppedAt
from tests.hand_made_performances import perform, strum

ROW = ("C", "Am", "F", "G", "C", "Am", "F G", "C")
CHART = f"tempo: 100\npattern: D . D U . U D U\n| {' | '.join(ROW)} |"


def find(strokes: Sequence[tuple[float, str]], chart: str = CHART) -> Check:
    return assess(perform(strokes), parse_chart(chart))


def stops(check: Check) -> dict[int, int]:
    """How many milliseconds late each bar is where nothing else is found."""
    assert {one.kind for one in check.findings} <= {"late"}, check.findings
    return {one.bar: one.measure.ms for one in check.findings if isinstance(one.measure, OffBeat)}


@pytest.mark.parametrize("wait_s", [0.25, 0.35, 0.45, 0.6, 0.9, 1.5])
@pytest.mark.parametrize("bars", [(3,), (6,), (3, 4, 6), tuple(range(2, 9))])
def test_a_student_who_waits_before_chords_and_plays_them_right_is_late_there(
    bars: tuple[int, ...], wait_s: float
) -> None:
    found = stops(find(strum(ROW, dict.fromkeys(bars, wait_s))))
    assert tuple(found) == bars
    assert list(found.values()) == pytest.approx([1000 * wait_s] * len(bars), abs=30)


def test_a_beginner_who_waits_unevenly_began_nothing_again() -> None:
    waits = {2: 1.2, 3: 0.9, 4: 1.4, 5: 1.3, 6: 0.6, 7: 1.6, 8: 0.8}
    found = stops(find(strum(ROW, waits, pattern=(0.0, 1.0, 2.0, 3.0))))
    assert set(found) == set(waits)


def test_a_stop_in_the_middle_of_a_bar_leaves_both_halves_judged() -> None:
    strokes = [(time_s + (0.8 if time_s > 6 * 2.4 + 1.1 else 0.0), name) for time_s, name in strum(ROW)]
    check = find(strokes)
    assert [(one.kind, one.bar, one.beat) for one in check.findings] == [("late", 7, 3.0)]
    assert [bar.state for bar in check.bars].count("right") == 7
    wrong = [(time_s, "Dm" if 6 * 2.4 - 0.1 < time_s < 6 * 2.4 + 1.1 else name) for time_s, name in strokes]
    assert ("chord", 7, 1.0) in {(one.kind, one.bar, one.beat) for one in find(wrong).findings}


def test_a_bar_that_was_played_twice_is_told_from_a_stop() -> None:
    check = find(strum((*ROW[:3], "F", *ROW[3:])))
    assert [(one.kind, one.bar) for one in check.findings] == [("repeated", 3)]
    again = [*strum(ROW[:3]), *((time_s + 3 * 2.4 + 1.0, name) for time_s, name in strum(ROW))]
    assert [(one.kind, one.bar) for one in find(again).findings] == [("restart", 1)]


def test_a_last_chord_may_ring_over_an_empty_bar() -> None:
    chart = CHART.removesuffix("|") + "|  |"
    once = [*strum(ROW[:-1]), (7 * 2.4, "C")]
    assert find(once, chart).findings == ()
    check = find(strum(ROW[:6]), chart)
    assert [(one.kind, one.bar) for one in check.findings] == [("stopped", 6)]


@pytest.mark.parametrize(
    ("rest_s", "is_cut", "breaks_off"), [(0.3, True, True), (9.0, True, False), (0.3, False, False)]
)
def test_a_piece_ends_early_since_its_file_breaks_off_or_since_the_student_stops(
    rest_s: float, *, is_cut: bool, breaks_off: bool
) -> None:
    heard = perform(strum(ROW[:6]))
    cut = replace(heard, duration_s=heard.strokes[-1].time_s + rest_s, breaks_off=is_cut)
    found = assess(cut, parse_chart(CHART))
    assert [(one.kind, one.bar, one.measure) for one in found.findings] == [("stopped", 6, StoppedAt(8, breaks_off))]
    assert ChangesInTime() not in found.praise
    beyond = "not judged" if breaks_off else "left out"
    assert [bar.state for bar in found.bars] == ["right"] * 6 + [beyond] * 2
    assert found.share_right == (1.0 if breaks_off else 0.75)


def test_a_bar_left_out_before_a_break_is_left_out_all_the_same() -> None:
    heard = perform(strum((*ROW[:3], *ROW[4:6])))  # bar 4 is missing
    cut = replace(heard, duration_s=heard.strokes[-1].time_s + 0.3, breaks_off=True)
    states = [bar.state for bar in assess(cut, parse_chart(CHART)).bars]
    assert (states[3], states[6:]) == ("left out", ["not judged"] * 2)


@pytest.mark.parametrize("tempo", [60, 90, 120])
def test_one_strum_every_other_bar_tells_no_other_tempo(tempo: int) -> None:
    chart = f"tempo: {tempo}\n| C |  | Am |  | F |  | G |  | C |  |"
    check = find([(8 * at * 60.0 / tempo, name) for at, name in enumerate(("C", "Am", "F", "G", "C"))], chart)
    assert check.findings == ()
    assert check.tempo_bpm == pytest.approx(tempo, rel=0.01)


def test_bars_in_which_a_chord_is_held_or_nothing_sounds_are_not_left_out() -> None:
    chart = "tempo: 96\n| C | Am | F | F N.C. . . | G | G N.C. . . | C |"
    beat_s = 60.0 / 96.0
    at = {0: "C", 4: "Am", 8: "F", 16: "G", 24: "C"}
    check = find([(beat * beat_s, name) for beat, name in at.items()], chart)
    assert check.findings == ()
    assert "left out" not in {bar.state for bar in check.bars}
    assert ChangesInTime() in check.praise


@pytest.mark.parametrize(("rest", "lead"), [("N.C. . G .", 2.0), ("N.C. . . G", 1.0), ("N.C. . . &G", 0.5)])
def test_a_first_bar_that_begins_with_a_rest_is_right_when_its_rest_is_kept(rest: str, lead: float) -> None:
    chart = CHART.replace("| C |", f"| {rest} | C |", 1)
    played = [(0.0, "G"), *((time_s + lead * 0.6, name) for time_s, name in strum(ROW))]
    check = find(played, chart)
    assert check.findings == ()
    assert {bar.state for bar in check.bars} == {"right"}
    assert [(one.kind, one.bar) for one in find(strum(ROW), chart).findings] == [("left out", 1)]


@pytest.mark.parametrize("lead", [0.5, 1.5])
def test_a_pickup_whose_first_chord_comes_after_its_beat_begins_with_that_chord(lead: float) -> None:
    """Though strokes of half beats after it fit the beat before as well."""
    row = ("Am", "G", "C", "Am", "F")
    chart = f"tempo: 100\npickup: 2\n| {'. &G' if lead == 0.5 else '&G .'} | {' | '.join(row)} |"
    halves = tuple(0.5 * at for at in range(8))
    pickup = [(0.6 * (lead - at), "G") for at in (1.5, 1.0, 0.5) if at <= lead]
    check = find([*pickup, *((time_s + 0.6 * lead, name) for time_s, name in strum(row, pattern=halves))], chart)
    assert check.findings == ()
