"""Words on one place of a part that contradict each other, refused before anything is heard."""

from __future__ import annotations

import re

import pytest

from listen.errors import BadValueError
from listen.request import PartAsked, ask_settings


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (PartAsked(names=("1=Dm", "1=G")), "name=1=G is not possible: it takes one word for each place. You gave 1=Dm"),
        (PartAsked(names=("1.1=Dm", "1.1=G")), "You gave 1.1=Dm, too"),
        (PartAsked(said=(("section", "1=A"), ("section", "1=B"))), "section=1=B"),
        (PartAsked(said=(("lyrics", "1=la"), ("lyrics", "1=li"))), "You gave 1=la, too"),
        (PartAsked(names=("1=N.C.",), pins=("1=x32010",)), "a chord where a shape is pinned. You pinned 1=x32010"),
        (PartAsked(names=("2.3=N.C.",), pins=("2.3=x32010",)), "You pinned 2.3=x32010"),
        (PartAsked(pins=("1=xxxxxx",)), "shape=xxxxxx is not possible: it takes at least one string that sounds"),
    ],
)
def test_what_contradicts_itself_is_refused_before_anything_is_heard(asked: PartAsked, said: str) -> None:
    with pytest.raises(BadValueError, match=re.escape(said)):
        ask_settings(asked, keep=None, written=[], start_s=0.0, file="x.wav")


def test_the_same_word_may_be_given_twice_and_another_place_holds_its_own() -> None:
    asked = PartAsked(names=("1=G", "1=G", "2=N.C."), pins=("1=320003",), said=(("section", "1=A"), ("section", "2=B")))
    assert len(ask_settings(asked, keep=None, written=[], start_s=0.0, file="x.wav").corrections) == 5
