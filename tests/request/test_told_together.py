"""Words on one place of a part that contradict each other, refused before anything is heard."""

from __future__ import annotations

import re

import pytest

from listen.errors import BadValueError
from listen.reading import Corrected
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
        (PartAsked(said=(("section", "5.1=A"), ("section", "5.1=B"))), "section=5.1=B is not possible"),
        (PartAsked(said=(("lyrics", "5.1=la"), ("lyrics", "5.1=li"))), "You gave 5.1=la, too"),
        (PartAsked(said=(("note", "5.1=G3"), ("note", "5.1=-G3"))), "note=5.1=-G3 is not possible: it takes one word"),
        (PartAsked(said=(("note", "5=G#3"), ("note", "5=-Ab3"))), "You gave --note 5=G#3, too"),
        (PartAsked(said=(("bass", "5.1=E2"), ("bass", "5.1=G"))), "You gave --bass 5.1=E2, too"),
        (PartAsked(said=(("note", "5.1=G9"),)), "note=5.1=G9 is not possible: it takes a note from A1 to E6"),
        (PartAsked(said=(("note", "5.1=-"),)), "note=5.1=- is not possible: it takes a note with its octave. Write"),
        (PartAsked(said=(("note", "5.1=-G"),)), "note=5.1=-G is not possible: it takes a note with its octave"),
        (PartAsked(said=(("bass", "5.1=C1"),)), "bass=5.1=C1 is not possible: it takes a note from A1 to E6"),
        (PartAsked(said=(("bass", "5.1=-E2"),)), "Write --note 5.1=-E2 for a note that does not sound"),
        (PartAsked(pins=("1=xxxxxx",)), "shape=xxxxxx is not possible: it takes at least one string that sounds"),
    ],
)
def test_what_contradicts_itself_is_refused_before_anything_is_heard(asked: PartAsked, said: str) -> None:
    with pytest.raises(BadValueError, match=re.escape(said)):
        ask_settings(asked, keep=None, written=[], start_s=0.0, file="x.wav")


def test_the_same_word_may_be_given_twice_and_another_place_holds_its_own() -> None:
    notes, basses = ("5.1=G3", "5.1=G3", "5.1=-E4", "5.3=-G3"), ("5.1=G", "5.1=G2")
    row: list[tuple[Corrected, str]] = [*(("note", one) for one in notes), *(("bass", one) for one in basses)]
    ask_settings(PartAsked(said=tuple(row)), keep=None, written=[], start_s=0.0, file="x.wav")
    asked = PartAsked(names=("1=G", "1=G", "2=N.C."), pins=("1=320003",), said=(("section", "1=A"), ("section", "2=B")))
    assert len(ask_settings(asked, keep=None, written=[], start_s=0.0, file="x.wav").corrections) == 5
