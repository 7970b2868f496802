"""The neck names a shape as the command ``listen name`` does."""

from __future__ import annotations

import pytest

from listen.errors import BadValueError
from listen.web.neck import look_up


def test_over_a_capo_the_hand_is_told_too() -> None:
    assert "x32010 is D (the hand plays C)" in look_up("x32010", capo=2).html
    assert "the hand plays" not in look_up("x32010").html


def test_several_shapes_are_no_spelling_fault() -> None:
    with pytest.raises(BadValueError, match="one shape at a time"):
        look_up("x32010 133211")
