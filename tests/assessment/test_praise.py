"""What is praised: the longest row of right bars, the chord that was right most often, and what comes after the end."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import Check, ChordAlwaysRight, EveryBarRight, RowOfBarsRight, SomeBarsRight
from tests.hand_made_performances import perform, strum

ROW = ("C", "Am", "F", "G", "C", "Am", "F", "C", "Am", "C")


def check_played(played: Sequence[str], row: Sequence[str] = ROW) -> Check:
    return assess(perform(strum(played)), parse_chart(f"tempo: 100\n| {' | '.join(row)} |"))


@pytest.mark.parametrize(("wrong", "longest"), [((3,), (4, 10)), ((7,), (1, 6)), ((2, 8), (3, 7)), ((4, 7), None)])
def test_the_longest_row_of_right_bars_is_praised(wrong: tuple[int, ...], longest: tuple[int, int] | None) -> None:
    check = check_played(["Em" if bar in wrong else name for bar, name in enumerate(ROW, start=1)])
    assert [one.bar for one in check.findings] == list(wrong)
    rows = [one for one in check.praise if isinstance(one, RowOfBarsRight)]
    assert rows == ([] if longest is None else [RowOfBarsRight(*longest)])
    assert SomeBarsRight(len(ROW) - len(wrong), len(ROW)) in check.praise


def test_the_chord_that_was_set_most_often_is_praised_where_another_was_wrong() -> None:
    """C is set four times, Am three, F twice; G is wrong."""
    check = check_played(["Em" if name == "G" else name for name in ROW])
    assert [one for one in check.praise if isinstance(one, ChordAlwaysRight)] == [ChordAlwaysRight("C")]
    wrong_c = check_played([*("Em" if name == "G" else name for name in ROW[:-1]), "Em"])
    assert [one for one in wrong_c.praise if isinstance(one, ChordAlwaysRight)] == [ChordAlwaysRight("Am")]


@pytest.mark.parametrize("bars", [slice(3, 4), slice(2, 4)])
def test_a_bar_or_two_that_are_tried_once_more_after_the_end_are_no_restart(bars: slice) -> None:
    whole = strum(ROW)
    after = [(time_s + len(ROW) * 2.4 + 2.0, name) for time_s, name in strum(ROW[bars])]
    check = assess(perform([*whole, *after]), parse_chart(f"tempo: 100\n| {' | '.join(ROW)} |"))
    assert check.findings == ()
    assert EveryBarRight(len(ROW)) in check.praise
