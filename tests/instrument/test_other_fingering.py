"""Another good way to hold a shape (common practice, no source)."""

from __future__ import annotations

import pytest

from listen.instrument import Fretboard, Hand, find_other_fingering, parse_shape


@pytest.mark.parametrize(
    ("shape", "fingers"),
    [("320002", (4, 2, 0, 0, 0, 3)), ("x02220", (None, 0, 1, 1, 1, 0)), ("320003", (3, 2, 0, 0, 0, 4))],
)
def test_a_grip_that_players_hold_in_two_ways_is_shown_both(shape: str, fingers: tuple[int | None, ...]) -> None:
    other = find_other_fingering(parse_shape(shape), Fretboard(), hand=Hand())
    assert other is not None
    assert other.fingers == fingers


def test_a_thumb_is_offered_to_a_hand_that_uses_it_alone() -> None:
    shape = parse_shape("200232")
    for thumb in (False, True):
        other = find_other_fingering(shape, Fretboard(), hand=Hand(thumb=thumb))
        assert thumb or other is None or "T" not in other.fingers


def test_a_shape_that_is_held_in_one_way_has_no_other() -> None:
    assert find_other_fingering(parse_shape("133211"), Fretboard(), hand=Hand()) is None
