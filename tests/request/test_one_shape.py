"""A shape as it is typed, refused in one sentence however long it is."""

import pytest

from listen.errors import BadValueError
from listen.instrument import Fretboard
from listen.request import parse_one_shape


def test_a_long_word_beside_a_shape_is_refused_in_a_sentence() -> None:
    with pytest.raises(BadValueError) as refused:
        parse_one_shape(["-" * 400, "320003" * 100], Fretboard())
    assert len(str(refused.value)) < 250
    assert "one shape at a time" in str(refused.value)
