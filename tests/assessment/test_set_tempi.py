"""A chart of two tempos, from hand-written strokes: each stretch is judged against its own."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.export.check_words import find_matters
from listen.export.finding_sentences import finding_sentence
from listen.reading import ChangesInTime, Check, Finding, OffBeat, OtherTempo, TempoFrom
from tests.hand_made_performances import perform, strum

VERSE, CHORUS = ("C", "Am", "F", "G"), ("F", "G", "C", "Am")
TWO = "tempo: 96\n|: C | Am | F | G :| x2\n|: tempo=120 F | G | C | Am :| x2\n"
HALF = "tempo: 96\n|: C | Am | F | G :| x2\n| F | G | tempo=48 C | Am |\n"
ROUNDS = "tempo: 96\n|: tempo=96 C | Am | F | G | tempo=120 F | G | C | Am :| x2\n"
THREE = "tempo: 96\n| C | Am | F | G | tempo=120 F | G | C | Am | tempo=60 C | Am | F | G |\n"
ONCE = "tempo: 96\n| C | Am | F | G | tempo=120 Dm | Em | G | C |\n"

Stretch = tuple[Sequence[str], float]


def play(*stretches: Stretch) -> list[tuple[float, str]]:
    """Strum bars, each stretch at its own beats a minute."""
    strokes, now = [], 0.0
    for row, bpm in stretches:
        strokes += [(now + time_s, name) for time_s, name in strum(row, beat_s=60.0 / bpm)]
        now += len(row) * 4 * 60.0 / bpm
    return strokes


def told_bars(off: int) -> str:
    """How far off a change is told to come."""
    return f"{'one bar' if abs(off) == 1 else f'{abs(off)} bars'} {'late' if off > 0 else 'early'}"


def check(chart: str, *stretches: Stretch) -> Check:
    return assess(perform(play(*stretches)), parse_chart(chart))


@pytest.mark.parametrize(
    ("chart", "stretches"),
    [
        (TWO, [(VERSE * 2, 96), (CHORUS * 2, 120)]),
        (TWO, [(VERSE * 2, 84), (CHORUS * 2, 105)]),  # slower all through, and the change is made
        (TWO, [(VERSE * 2, 104), (CHORUS * 2, 122)]),
        (HALF, [((*VERSE, *VERSE, "F", "G"), 96), (("C", "Am"), 48)]),
        (ROUNDS, [(VERSE, 96), (CHORUS, 120)] * 2),
        (THREE, [(VERSE, 96), (CHORUS, 120), (VERSE, 60)]),
    ],
)
def test_who_changes_the_tempo_as_set_is_told_nothing(chart: str, stretches: list[Stretch]) -> None:
    told = check(chart, *stretches)
    assert told.findings == ()
    assert {bar.state for bar in told.bars} == {"right"}
    assert ChangesInTime() in told.praise


def test_bars_begin_where_they_are_played_and_the_tempo_of_each_stretch_is_told() -> None:
    told = check(TWO, (VERSE * 2, 96), (CHORUS * 2, 120))
    assert told.tempo_bpm == pytest.approx(96, rel=0.01)
    assert {bar.bar: bar.tempo_bpm for bar in told.bars if bar.tempo_bpm} == {9: pytest.approx(120, rel=0.01)}
    starts = [1.0 + bar * 2.5 for bar in range(8)] + [21.0 + bar * 2.0 for bar in range(8)]
    assert [bar.start_s for bar in told.bars] == pytest.approx(starts, abs=0.05)


@pytest.mark.parametrize(
    ("chart", "stretches", "sentences"),
    [
        (TWO, [(VERSE * 2 + CHORUS * 2, 96)], ["From bar 9 on it is played at 96 beats a minute; 120 were set."]),
        (TWO, [(VERSE * 2 + CHORUS * 2, 108)], ["From bar 9 on it is played at 108 beats a minute; 120 were set."]),
        (
            TWO,
            [(VERSE * 2, 96), (CHORUS * 2, 150)],
            ["From bar 9 on it is played at 150 beats a minute; 120 were set."],
        ),
        (
            HALF,
            [((*VERSE, *VERSE, "F", "G", "C", "Am"), 96)],
            ["From bar 11 on it is played at 96 beats a minute; 48 were set."],
        ),
        (
            ROUNDS,
            [((*VERSE, *CHORUS) * 2, 96)],
            ["From bar 5 and from bar 13 on it is played at 96 beats a minute; 120 were set."],
        ),
        (
            THREE,
            [(VERSE, 96), (CHORUS + VERSE, 120)],
            ["From bar 9 on it is played at 120 beats a minute; 60 were set."],
        ),
        (
            TWO,
            [(VERSE * 2 + CHORUS * 2, 66)],
            [
                "It is played at 66 beats a minute; 96 were set.",
                "From bar 9 on it is played at 66 beats a minute; 120 were set.",
            ],
        ),
    ],
)
def test_who_does_not_is_told_so_once_from_that_bar_on(
    chart: str, stretches: list[Stretch], sentences: list[str]
) -> None:
    told = check(chart, *stretches)
    assert [matter.sentence for matter in find_matters(told)] == sentences
    assert not [one for one in told.findings if one.is_asked]
    assert {bar.state for bar in told.bars} == {"right"}
    assert ChangesInTime() not in told.praise


def test_a_stop_before_the_new_tempo_is_a_stop_and_a_restart_in_it_a_restart() -> None:
    strokes = play((VERSE * 2, 96), (CHORUS * 2, 120))
    waits = [(time_s + (0.5 if at >= 48 else 0.0), name) for at, (time_s, name) in enumerate(strokes)]
    (stop,) = assess(perform(waits), parse_chart(TWO)).findings
    assert (stop.bar, stop.measure) == (9, OffBeat(500))
    broken = play((VERSE * 2, 96), (CHORUS[:3], 120))
    again = [(broken[-1][0] + 2.0 + time_s, name) for time_s, name in play((CHORUS * 2, 120))]
    (restart,) = assess(perform([*broken, *again]), parse_chart(TWO)).findings
    assert (restart.kind, restart.bar) == ("restart", 9)


def test_a_tempo_at_a_bar_is_told_from_there() -> None:
    assert finding_sentence(Finding("tempo", 9, 1.0, 21.0, measure=OtherTempo(96, 120))) == (
        "From bar 9 on it is played at 96 beats a minute; 120 were set."
    )


@pytest.mark.parametrize(
    ("chart", "stretches", "begins"),
    [
        (TWO, [(VERSE * 2 + CHORUS, 96), (CHORUS, 120)], {9: 13}),
        (TWO, [((*VERSE, "C", "Am"), 90), (("F", "G", *CHORUS * 2), 112)], {9: 7}),  # from a tempo of one's own
        (HALF, [((*VERSE, *VERSE, "F", "G", "C"), 96), (("Am",), 48)], {11: 12}),
        (HALF, [(VERSE * 2, 96), (("F", "G", "C", "Am"), 48)], {11: 9}),
        (THREE, [((*VERSE, "F", "G"), 96), (("C", "Am", "C", "Am"), 120), (("F", "G"), 60)], {5: 7, 9: 11}),
        (ONCE, [((*VERSE, "Dm"), 96), (("Em", "G", "C"), 120)], {5: 6}),
        (ONCE, [(VERSE[:3], 96), (("G", "Dm", "Em", "G", "C"), 120)], {5: 4}),
        (ONCE, [((*VERSE, "Dm"), 80), (("Em", "G", "C"), 100)], {5: 6}),  # from a tempo of one's own
    ],
)
def test_who_changes_the_tempo_at_another_bar_is_told_at_which(
    chart: str, stretches: list[Stretch], begins: dict[int, int]
) -> None:
    told = check(chart, *stretches)
    assert {one.bar: one.measure for one in told.findings} == {at: TempoFrom(bar) for at, bar in begins.items()}
    assert [matter.sentence for matter in find_matters(told)] == [
        f"The new tempo comes {told_bars(bar - at)}: at bar {bar}, not at bar {at}." for at, bar in begins.items()
    ]
    assert {bar.state for bar in told.bars} == {"right"}
    assert {bar.bar for bar in told.bars if bar.tempo_bpm} == set(begins.values())
    assert ChangesInTime() not in told.praise


def test_a_student_who_slowly_gets_faster_takes_no_tempo_at_another_bar() -> None:
    stretches = [((name,), 96 + 24 * at / 15) for at, name in enumerate(VERSE * 2 + CHORUS * 2)]
    told = check(TWO, *stretches)
    assert not [one for one in told.findings if isinstance(one.measure, TempoFrom)]


def test_a_tempo_of_the_first_bar_stands_before_that_of_the_head() -> None:
    bar = "| tempo=50 C | C | C | C |\n"
    told = check(f"tempo: 100\n{bar}", (("C",) * 4, 50))
    assert (told.findings, {each.state for each in told.bars}) == ((), {"right"})
    assert told.tempo_bpm == pytest.approx(50, rel=0.01)


def test_few_strokes_tell_the_tempo_of_the_first_bar_before_that_of_the_head() -> None:
    """Six strokes on one chord fill three bars at the tempo of the head, and two at that of the first bar."""
    strokes = strum(("C", "C"), pattern=range(4), beat_s=60.0 / 50)[:6]
    told = assess(perform(strokes), parse_chart("tempo: 100\n| tempo=50 C | C | C |\n"))
    assert [(one.kind, one.bar) for one in told.findings] == [("stopped", 2)]
    assert told.tempo_bpm == pytest.approx(50, rel=0.01)
