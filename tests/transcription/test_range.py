from __future__ import annotations

import pytest

from listen.errors import BadValueError
from listen.instrument import Fretboard, find_instrument
from listen.transcription import check_range


def test_a_tuning_that_goes_below_what_is_heard_is_refused_with_where_it_is_taken() -> None:
    with pytest.raises(BadValueError, match=r"tuning=bass is not possible.*A1.*E1.*listen shapes"):
        check_range(Fretboard(find_instrument("bass").tuning))


def test_a_capo_may_raise_a_tuning_into_what_is_heard() -> None:
    check_range(Fretboard(find_instrument("bass").tuning, 22, 5))
    check_range(Fretboard())
