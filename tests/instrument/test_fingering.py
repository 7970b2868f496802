"""How the hand holds a shape."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from listen.errors import BadValueError
from listen.instrument import (
    SMALL_HAND,
    USUAL_HAND,
    WIDE_HAND,
    Barre,
    Fingering,
    Fretboard,
    Hand,
    Reason,
    Shape,
    best_fingering,
    estimate_stretch_mm,
    find_fingerings,
    find_instrument,
    is_strain,
    parse_hand,
    parse_shape,
)

NECK = Fretboard()
SHAPES = st.lists(st.none() | st.integers(0, 9), min_size=6, max_size=6).map(lambda frets: Shape(tuple(frets)))


def hold(text: str, hand: Hand = USUAL_HAND) -> Fingering:
    return best_fingering(parse_shape(text), NECK, hand=hand)


@pytest.mark.parametrize(
    ("text", "fingers"),
    [  # as any first method prints them; from memory
        ("x32010", (None, 3, 2, 0, 1, 0)),
        ("320003", (2, 1, 0, 0, 0, 3)),
        ("022100", (0, 2, 3, 1, 0, 0)),
        ("x02210", (None, 0, 2, 3, 1, 0)),
        ("x02220", (None, 0, 1, 2, 3, 0)),
        ("xx0232", (None, None, 0, 1, 3, 2)),
        ("xx0231", (None, None, 0, 2, 3, 1)),
        ("133211", (1, 3, 4, 2, 1, 1)),
        ("133111", (1, 3, 4, 1, 1, 1)),
        ("x24432", (None, 1, 3, 4, 2, 1)),
        ("x13331", (None, 1, 2, 3, 4, 1)),
        ("x21202", (None, 2, 1, 3, 0, 4)),
        ("xx3211", (None, None, 3, 2, 1, 1)),
        ("355xxx", (1, 3, 4, None, None, None)),
    ],
)
def test_common_shapes_get_the_fingers_that_methods_print(text: str, fingers: tuple[int | None, ...]) -> None:
    assert hold(text).fingers == fingers


@given(SHAPES)
def test_every_shape_gets_a_fingering_with_an_effort(shape: Shape) -> None:
    held = best_fingering(shape, NECK)
    assert held.effort >= 0
    assert held.effort == pytest.approx(sum(cost for _, cost in held.parts), abs=1e-3)
    assert held.reasons
    for fret, finger in zip(shape.frets, held.fingers, strict=True):
        assert (finger is None) == (fret is None)
        assert (finger == 0) == (fret == 0)


@given(SHAPES)
def test_a_fingering_that_is_playable_obeys_the_hard_rules(shape: Shape) -> None:
    playable = [held for held in find_fingerings(shape, NECK) if held.playable]
    assume(playable)
    for held in playable:
        by_finger: dict[object, set[int]] = {}
        for fret, finger in zip(shape.frets, held.fingers, strict=True):
            if fret and finger:
                by_finger.setdefault(finger, set()).add(fret)
        assert len(by_finger) <= 4
        assert all(len(frets) == 1 for frets in by_finger.values()), "a finger is at one fret"
        ordered = [by_finger[finger].copy().pop() for finger in sorted(by_finger, key=str)]
        assert ordered == sorted(ordered), "finger order does not decrease with fret"
        for barre in held.barres:
            under = shape.frets[barre.first_string : barre.last_string + 1]
            assert all(fret is None or fret >= barre.fret for fret in under), (
                "a barre never covers a lower or open string"
            )


@given(SHAPES)
def test_the_other_fingerings_are_ranked_and_different(shape: Shape) -> None:
    ways = find_fingerings(shape, NECK)
    assert [way.effort for way in ways[1:]] == sorted(way.effort for way in ways[1:])
    assert len({way.fingers for way in ways}) == len(ways)


def test_partial_barres_are_held_by_any_finger() -> None:
    ways = find_fingerings(parse_shape("x1333x"), NECK, limit=20)
    fingers = {barre.finger for way in ways for barre in way.barres if barre.first_string == 2}
    assert {3, 4} <= fingers


def test_an_index_barre_lies_behind_the_other_fingers() -> None:
    assert hold("133211").barres == (Barre(1, 1, 0, 5),)


def test_an_open_string_breaks_a_barre() -> None:
    assert not hold("1x0x1x").barres


def test_a_barre_sounds_every_string_under_it_so_none_of_them_can_be_left_out() -> None:
    # what no fingertip beside it damps; a tip on the sixth string damps the fifth of 3x333x
    assert not hold("1x1342").playable
    seven = find_instrument("seven-string").fretboard()
    held = best_fingering(parse_shape("x1x1342", fretboard=seven), seven)
    assert Reason("silent string under a barre") in held.reasons
    assert hold("1x1342", Hand(picking="fingers")).playable, "a hand that plucks leaves the string out"
    assert [(barre.first_string, barre.last_string) for barre in hold("3x333x").barres] == [(2, 4)]
    assert hold("3433x3").barres == (Barre(1, 3, 0, 3),)


def test_five_fingers_are_too_many() -> None:
    held = hold("143254")
    assert not held.playable
    assert Reason("too many fingers", (5,)) in held.reasons


def test_reach_is_counted_in_millimetres_and_so_by_position() -> None:
    assert not hold("x15xxx").playable
    assert hold("x-x-x-12-16-x").playable
    assert hold("x15xxx", WIDE_HAND).playable
    assert not hold("x26xxx", SMALL_HAND).playable


def test_the_thumb_holds_the_lowest_string_only_for_a_hand_that_uses_it() -> None:
    shape = "2x0233"
    with_thumb = find_fingerings(parse_shape(shape), NECK, hand=Hand(thumb=True), limit=20)
    assert any(way.fingers[0] == "T" for way in with_thumb)
    without = find_fingerings(parse_shape(shape), NECK, limit=20)
    assert all(way.fingers[0] != "T" for way in without)
    five = "243232"
    assert best_fingering(parse_shape("1-3-3-2-4-3"), NECK, hand=Hand(thumb=True)).effort >= 0
    assert best_fingering(parse_shape(five), NECK).reasons


def test_a_pick_has_to_damp_inner_strings_and_fingers_do_not() -> None:
    inner, several = hold("3x0003"), hold("3x0x0x")
    assert Reason("inner strings to damp", (1,)) in inner.reasons
    assert Reason("inner strings to damp", (2,)) in several.reasons
    assert dict(several.parts)["muting"] > dict(inner.parts)["muting"] > dict(hold("x32010").parts)["muting"]
    assert "muting" not in dict(hold("3x0x0x", Hand(picking="fingers")).parts)


def test_an_inner_string_beside_a_fingertip_is_easier_to_damp() -> None:
    assert dict(hold("3x344x").parts)["muting"] < dict(hold("00x000").parts)["muting"] + 0.2 + 1e-6
    assert dict(hold("x3x0xx").parts)["muting"] < dict(hold("x0x0xx").parts)["muting"]


def test_a_stretch_near_the_limit_is_named_and_cautioned() -> None:
    wide = hold("x48xxx")
    assert any(reason.kind == "stretch" and reason.fingers == (1, 4) for reason in wide.reasons)
    assert is_strain(wide)
    assert not is_strain(hold("x32010"))
    too_far = hold("x15xxx")
    assert too_far.reasons[0].kind == "too far"
    assert is_strain(too_far)


def test_reasons_name_the_barre() -> None:
    assert hold("133211").reasons[0] == Reason("barre", (6,), (1,))


def test_span_is_measured_from_wire_to_wire() -> None:
    assert hold("x32010").span_mm == pytest.approx(66.7, abs=0.05)
    assert hold("022000").span_mm == 0


def test_the_order_of_effort_is_what_teachers_agree_on() -> None:
    # Number of fingers, then barre, then reach: Vélez Vásquez et al. (2023); open chords before barre chords.
    ladder = ["000000", "022000", "x32010", "133211", "x13331"]
    efforts = [hold(text).effort for text in ladder]
    assert efforts == sorted(efforts)


def test_stretch_between_fingertips_is_shorter_than_from_wire_to_wire() -> None:
    # hand.md: four frets are 97 mm from wire to wire at fret 1, 77 at fret 5, 52 at fret 12 of 648 mm.
    for fret, wires_mm in ((1, 97), (5, 77), (12, 52)):
        assert NECK.wire_mm(fret + 3) - NECK.wire_mm(fret) == pytest.approx(wires_mm, abs=0.9)
        assert 0.85 * wires_mm < estimate_stretch_mm(NECK, fret=fret, higher_fret=fret + 3) < wires_mm


@pytest.mark.parametrize("text", ["0", "1000", "1 m", "huge", "", "-5"])
def test_a_reach_that_no_hand_has_is_refused(text: str) -> None:
    with pytest.raises(BadValueError, match="reach="):
        parse_hand(text)


def test_a_shape_that_does_not_fit_the_instrument_is_refused() -> None:
    with pytest.raises(BadValueError, match="6 strings"):
        best_fingering(Shape((0, 0, 0, 3)), NECK)
    with pytest.raises(BadValueError, match="frets from 0 to 22"):
        best_fingering(Shape((0, 0, 0, 0, 0, 23)), NECK)
