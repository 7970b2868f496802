"""From one grip to the next."""

from __future__ import annotations

import math

import numpy as np
import pytest

from listen.instrument import Fretboard, Grip, Reason, best_fingering, estimate_move, estimate_move_costs, parse_shape

NECK = Fretboard()
TEXTS = [
    "x32010",
    "320003",
    "022100",
    "x02210",
    "133211",
    "355433",
    "x24442",
    "xx0232",
    "000000",
    "577655",
    "8-10-10-9-8-8",
    "x35553",
    "x3x0x0",
]


def grip(text: str) -> Grip:
    shape = parse_shape(text)
    return Grip(shape, best_fingering(shape, NECK))


def test_staying_costs_nothing() -> None:
    move = estimate_move(grip("x32010"), grip("x32010"), NECK, time_s=0.1)
    assert move.cost == 0
    assert move.needed_s == 0
    assert move.reasons == (Reason("stays", (3,)),)


def test_fingers_that_stay_make_a_move_cheaper() -> None:
    two_stay = estimate_move(grip("x32010"), grip("x02210"), NECK)
    assert Reason("stays", (2,)) in two_stay.reasons
    assert two_stay.cost < estimate_move(grip("x32010"), grip("320003"), NECK).cost


def test_the_same_form_shifted_is_one_movement() -> None:
    along = estimate_move(grip("133211"), grip("355433"), NECK)
    across = estimate_move(grip("022100"), grip("x02210"), NECK)
    assert along.reasons == (Reason("same form", (2, 0)),)
    assert across.reasons == (Reason("same form", (0, 1)),)
    assert along.cost < estimate_move(grip("133211"), grip("320003"), NECK).cost


def test_a_longer_way_costs_more_and_needs_longer() -> None:
    near, far = (estimate_move(grip("133211"), grip(text), NECK) for text in ("355433", "8-10-10-9-8-8"))
    assert far.cost > near.cost
    assert far.needed_s > near.needed_s
    assert far.travel_mm == pytest.approx(NECK.wire_mm(8) - NECK.wire_mm(1))


def test_little_time_costs_and_is_said() -> None:
    costs = [estimate_move(grip("x32010"), grip("577655"), NECK, time_s=time_s).cost for time_s in (math.inf, 0.4, 0.2)]
    assert costs[0] < costs[1] < costs[2]
    hurried = estimate_move(grip("x32010"), grip("577655"), NECK, time_s=0.2)
    assert (hurried.reasons[0].kind, hurried.reasons[0].amounts[0]) == ("little time", 200)


def test_open_strings_ask_for_no_move() -> None:
    assert estimate_move(grip("x32010"), grip("000000"), NECK).cost < 0.2


@pytest.mark.parametrize("time_s", [math.inf, 0.5, 0.15, 0.0])
def test_many_moves_at_once_equal_each_by_itself(time_s: float) -> None:
    grips = [grip(text) for text in TEXTS]
    table = estimate_move_costs(grips, grips, NECK, time_s=time_s)
    single = [[estimate_move(one, other, NECK, time_s=time_s).cost for other in grips] for one in grips]
    assert np.allclose(table, single)


def test_no_grips_make_an_empty_table() -> None:
    assert estimate_move_costs([], [grip("x32010")], NECK).shape == (0, 1)


def test_laying_a_finger_flat_takes_longer_than_putting_one_down() -> None:
    """To F as a barre and to its four upper strings without one, from nothing held: the barre wants more time."""
    barre, small = (estimate_move(grip("000000"), grip(text), NECK).needed_s for text in ("133211", "xx3210"))
    assert barre > small + 0.05
