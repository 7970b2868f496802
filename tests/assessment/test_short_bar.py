"""A chart with a bar of two beats among bars of four, from hand-written strokes: it is judged as long as it is."""

from __future__ import annotations

from itertools import pairwise

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import ChangesInTime, Check
from tests.hand_made_performances import SWAY, perform

CHART = "tempo: 100\n| C | G | Am | F |\n| C | metre=2/4 G | metre=4/4 Am | F |\n| C | G | F | C |\n"
NAMES = ["C", "G", "Am", "F", "C", "G", "Am", "F", "C", "G", "F", "C"]


def play(*, short: int, chart: str = CHART, names: list[str] = NAMES) -> Check:
    """Strum the bars, the sixth of so many beats."""
    strokes, now = [], 0.0
    for bar, name in enumerate(names, start=1):
        n_beats = short if bar == 6 else 4
        strokes += [(0.6 * (now + beat), name) for beat in SWAY if beat < n_beats]
        now += n_beats
    return assess(perform(strokes), parse_chart(chart))


def test_who_plays_a_short_bar_as_it_is_set_is_told_nothing() -> None:
    told = play(short=2)
    assert told.findings == ()
    assert {bar.state for bar in told.bars} == {"right"}
    assert ChangesInTime() in told.praise
    starts = [bar.start_s for bar in told.bars if bar.start_s is not None]
    assert [round((after - before) / 0.6) for before, after in pairwise(starts)] == [4, 4, 4, 4, 4, 2, 4, 4, 4, 4, 4]


def test_who_plays_a_short_bar_whole_is_told() -> None:
    (one,) = play(short=4).findings
    assert (one.kind, one.bar, one.is_said) == ("restart", 6, True)


def test_another_chord_in_the_short_bar_is_told_there() -> None:
    (one,) = play(short=2, names=[*NAMES[:5], "Dm", *NAMES[6:]]).findings
    assert (one.kind, one.bar, one.expected) == ("chord", 6, "G")
