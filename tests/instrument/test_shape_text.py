"""Shapes as players write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from listen.errors import BadValueError
from listen.instrument import Fretboard, Shape, find_instrument, parse_shape


@pytest.mark.parametrize(
    ("text", "frets"),
    [
        ("x32010", (None, 3, 2, 0, 1, 0)),
        ("X32010", (None, 3, 2, 0, 1, 0)),
        ("x 3 2 0 1 0", (None, 3, 2, 0, 1, 0)),
        ("x-10-12-12-11-x", (None, 10, 12, 12, 11, None)),
        ("x,10,12,12,11,x", (None, 10, 12, 12, 11, None)),
        ("  xx0232 ", (None, None, 0, 2, 3, 2)),
    ],
)
def test_frets_are_read_with_or_without_signs_between(text: str, frets: tuple[int | None, ...]) -> None:
    assert parse_shape(text).frets == frets


@given(st.lists(st.none() | st.integers(0, 22), min_size=6, max_size=6))
def test_a_printed_shape_reads_back(frets: list[int | None]) -> None:
    shape = Shape(tuple(frets))
    assert parse_shape(shape.text) == shape


def test_a_shape_has_as_many_frets_as_the_instrument_has_strings() -> None:
    assert parse_shape("0003", fretboard=find_instrument("ukulele").fretboard()).frets == (0, 0, 0, 3)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("x3201", "It has 5"),
        ("x320100", "It has 7.*hyphens"),
        ("x32z10", "“z” is neither"),
        ("x-3-2-0-1-40", "There is no fret 40"),
        ("x-3-2-0-1-4000", "is neither"),
        ("", "It has 0"),
        ("3" * 10_000, "frets for 6 strings"),
        ("x-3-2-0--1-0-", None),
    ],
)
def test_a_shape_that_cannot_be_is_refused_in_one_sentence(text: str, sentence: str | None) -> None:
    if sentence is None:
        assert parse_shape(text).text == "x32010"
        return
    with pytest.raises(BadValueError, match=sentence) as caught:
        parse_shape(text)
    assert len(str(caught.value)) < 250


def test_a_fret_beyond_what_the_capo_leaves_is_refused() -> None:
    with pytest.raises(BadValueError, match="counted from the capo at 5"):
        parse_shape("x-x-x-18-x-x", fretboard=Fretboard(capo_fret=5))
