"""Wrong bars in a row that sound like earlier bars of the chart are wrong where the playing has the right length."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import Check
from tests.hand_made_performances import SWAY, perform, strum

QUARTERS = (0.0, 1.0, 2.0, 3.0)
PATTERNS = pytest.mark.parametrize("pattern", [SWAY, QUARTERS])
LONG = "C G Am F Dm Em G C F Dm"


def told(wanted: str, played: str, pattern: Sequence[float]) -> list[tuple[str, int]]:
    chart = parse_chart(f"tempo: 100\n| {' | '.join(wanted.split())} |")
    found: Check = assess(perform(strum(played.split(), pattern=pattern)), chart)
    return [(one.kind, one.bar) for one in found.findings]


@PATTERNS
@pytest.mark.parametrize(
    ("wanted", "played", "bars"),
    [
        ("C G Am F C G Am F", "C G Am F C G C G", (7, 8)),  # as bars 5 and 6
        ("C G Am F C G Am F", "C G Am F C G F C", (7, 8)),
        ("C G Am F Dm Em G C", "C G Am F Dm Em Am F", (7, 8)),
        ("C G Am F Dm Em G C", "C G Am F Dm Am F C", (6, 7)),  # and the last bar as it was set
        ("C G Am F Dm Em G C", "C G Am F Am F G C", (5, 6)),
        ("C G Am F Dm Em G C", "C G Am F Dm Em C G", (7, 8)),  # as if the piece had been left
        (LONG, "C G Am F Dm Em G C G Am", (9, 10)),
    ],
)
def test_two_wrong_bars_that_sound_like_earlier_ones_are_wrong(
    wanted: str, played: str, bars: tuple[int, ...], pattern: tuple[float, ...]
) -> None:
    assert told(wanted, played, pattern) == [("chord", bar) for bar in bars]


@PATTERNS
@pytest.mark.parametrize(
    ("played", "found"),
    [
        ("C G Am F Dm Em G C F Dm G C F Dm", [("repeated", 7)]),
        ("C G Am F Dm Em G G C F Dm", [("repeated", 7)]),
        ("C G Am F Dm Em G C F C G Am", [("stopped", 9)]),  # what comes then is no end of the piece
        ("C G Am F Dm Em G C", [("stopped", 8)]),
    ],
)
def test_bars_that_are_played_again_and_take_time_are(
    played: str, found: list[tuple[str, int]], pattern: tuple[float, ...]
) -> None:
    assert told(LONG, played, pattern) == found


@PATTERNS
@pytest.mark.parametrize(
    ("wanted", "played", "bars"),
    [
        (LONG, "C Am F Dm Em G C F Dm", ()),
        (LONG, "C Am F Dm Em G F C Dm", (8, 9)),
        (LONG, "C Am F Am Dm G C F Dm", (5, 6)),
        ("C G Am F Dm Em G C", "C Am F Dm G Em C", (6, 7)),
    ],
)
def test_a_bar_left_out_near_the_beginning_stays_left_out_with_bars_wrong_in_time_after_it(
    wanted: str, played: str, bars: tuple[int, ...], pattern: tuple[float, ...]
) -> None:
    assert told(wanted, played, pattern) == [("left out", 2), *(("chord", bar) for bar in bars)]
