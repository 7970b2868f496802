"""Rises that time brings back; written by hand. That strokes come at even distances is common practice, no source."""

from __future__ import annotations

import pytest

from listen.audio.stroke_judge import LEAST_ODDS, Rise
from listen.audio.stroke_pulse import settle_by_time

PERIOD = 34  # frames of 5 ms: some six a second


def _make_row(n: int, *missing: int) -> list[Rise]:
    return [Rise(PERIOD * place, PERIOD * place + 4, 1.0, 2.0) for place in range(n) if place not in missing]


def _doubt(place: float, odds: float = -2.0) -> Rise:
    return Rise(round(PERIOD * place), round(PERIOD * place) + 4, 0.3, odds)


@pytest.mark.parametrize("missing", [(6,), (6, 7), (5, 9)])
def test_a_weak_rise_at_an_empty_place_of_an_even_row_is_a_stroke(missing: tuple[int, ...]) -> None:
    found = settle_by_time(_make_row(14, *missing), [_doubt(place) for place in missing])
    assert [rise.start for rise in found] == [PERIOD * place for place in range(14)]


@pytest.mark.parametrize(
    "doubt",
    [_doubt(6.4), _doubt(3.5), _doubt(6.0, -5.0), _doubt(15.0)],
    ids=["beside the place", "where none is left", "too weak", "after the last"],
)
def test_other_weak_rises_are_none(doubt: Rise) -> None:
    assert doubt.odds < LEAST_ODDS
    row = _make_row(14, 6)
    assert settle_by_time(row, [doubt]) == row


def test_where_places_are_mostly_empty_an_empty_one_says_little() -> None:
    often_empty = _make_row(24, 2, 5, 6, 9, 10, 13, 14, 17, 18, 20, 22)
    assert settle_by_time(often_empty, [_doubt(2.0, -2.6)]) == often_empty
    assert len(settle_by_time(_make_row(24, 2), [_doubt(2.0, -2.6)])) == 24


def test_strokes_in_no_row_leave_no_place() -> None:
    uneven = [Rise(frame, frame + 4, 1.0, 2.0) for frame in (0, 37, 101, 122, 198, 241, 330, 355)]
    assert settle_by_time(uneven, [Rise(80, 84, 0.3, -1.5), Rise(160, 164, 0.3, -1.5)]) == uneven
