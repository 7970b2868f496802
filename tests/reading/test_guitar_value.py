"""A guitar's profile predicts stiffness along the neck, and only takes a name that can be one."""

from __future__ import annotations

import math

import pytest

from listen.errors import BadValueError
from listen.evidence import Measured
from listen.instrument import STANDARD
from listen.reading import GROWTH, GuitarProfile, StringProfile

STRINGS = tuple(StringProfile(Measured(ln_b, 0.05)) for ln_b in (-8.9, -9.3, -9.9, -10.4, -9.7, -10.7))


def test_stiffness_doubles_in_six_frets() -> None:
    """Fletcher 1964: B goes with 1/l², and six frets shorten a string by the square root of two."""
    guitar = GuitarProfile("one", STANDARD, STRINGS)
    low, high = guitar.predict_stiffness(0, 0), guitar.predict_stiffness(0, 6)
    assert low is not None
    assert high is not None
    assert math.exp(high.value - low.value) == pytest.approx(2.0)
    assert high.sigma > low.sigma


def test_the_usual_growth_holds_what_was_published_for_guitarset() -> None:
    """Bastas et al. 2022: 3.4 to 4.1 times over twelve frets."""
    for times in (3.4, 4.1):
        assert abs(math.log(times) - GROWTH.value) < 2.0 * GROWTH.sigma


def test_a_string_that_is_let_down_is_stiffer() -> None:
    """B goes with 1/T, and tension with the square of the frequency: a whole step down is 12.2 % flat, 26 % stiffer."""
    guitar = GuitarProfile("one", STANDARD, STRINGS)
    now, usual = guitar.predict_stiffness(0, 0, retuned_by=-2), guitar.predict_stiffness(0, 0)
    assert now is not None
    assert usual is not None
    assert math.exp(now.value - usual.value) == pytest.approx((2.0 ** (2 / 12)) ** 2)


def test_a_string_that_was_not_heard_predicts_nothing() -> None:
    guitar = GuitarProfile("one", STANDARD, (*STRINGS[:5], StringProfile()))
    assert guitar.predict_stiffness(5, 3) is None


@pytest.mark.parametrize("name", ["", " ", "../up", "a/b", "a\\b", "x" * 41, "-", " lead", "dot.json"])
def test_a_name_that_is_none_is_refused(name: str) -> None:
    with pytest.raises(BadValueError, match="letters, digits"):
        GuitarProfile(name, STANDARD, STRINGS)


def test_another_number_of_strings_is_refused() -> None:
    with pytest.raises(BadValueError, match="6 strings"):
        GuitarProfile("short", STANDARD, STRINGS[:4])
