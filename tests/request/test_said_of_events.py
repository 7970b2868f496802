"""What is said of places of a part, by event or by bar and beat: sections, words, notes and basses."""

from __future__ import annotations

import re

import pytest

from listen.errors import BadValueError
from listen.reading import Corrected, Correction
from listen.request import PartAsked, ask_settings
from listen.request.said_of_events import settle_said
from listen.transcription import PartSettings
from tests.hand_made_parts import Scene, free_part, straight_part


def test_by_bar_and_beat_notes_and_words_are_said_as_names_are() -> None:
    """`--section 5.1=Verse` was refused, and `--section 5=Verse` is event 5."""
    part = straight_part()
    event = next(one for one in part.events if one.position is not None and one.position.bar == 3)
    assert event.position is not None
    place = f"{event.position.bar}.{float(event.position.beat):g}"
    assert event.number > 3
    said: list[tuple[Corrected, str]] = [
        ("section", "Verse"), ("lyrics", "la la"), ("note", "-G3"), ("note", "G3"), ("bass", "E2")
    ]  # fmt: skip
    for what, value in said:
        by_place, by_number = (
            settle_said(PartAsked(said=((what, f"{where}={value}"),)), part, PartSettings()).corrections
            for where in (place, event.number)
        )
        assert by_place == by_number
        assert len(by_place) == 1


@pytest.mark.parametrize("what", ["note", "bass"])
def test_what_is_told_of_a_bar_holds_to_its_end_and_what_is_told_of_an_event_for_its_whole_chord(
    what: Corrected,
) -> None:
    """C was held for two bars: --bass 9.3=G made it C/G in both."""
    part = straight_part()
    begins_s = {
        (stroke.position.bar, float(stroke.position.beat)): stroke.span.start_s
        for event in part.events
        for stroke in event.strokes
        if stroke.position is not None
    }
    assert part.spans[0].span.end_s == pytest.approx(begins_s[3, 1.0], abs=0.002)  # bars 1 and 2
    for where, begins, ends in (("1.1", 1, 2), ("2.1", 2, 3), ("1", 1, 3), ("9", 1, 3)):
        (told,) = settle_said(PartAsked(said=((what, f"{where}=E2"),)), part, PartSettings()).corrections
        assert told.value == f"E2 {begins_s[begins, 1.0]:.3f}-{begins_s[ends, 1.0]:.3f}"
    (told,) = settle_said(PartAsked(said=((what, "2.3=E2"),)), part, PartSettings()).corrections
    first_s = min(at_s for (bar, beat), at_s in begins_s.items() if bar == 2 and beat >= 3)
    assert told.value == f"E2 {first_s:.3f}-{begins_s[3, 1.0]:.3f}"


def test_notes_told_of_two_beats_of_a_bar_both_hold() -> None:
    part = straight_part()
    for row in (("2.1=E", "2.3=G"), ("2.3=G", "2.1=E")):
        asked = PartAsked(said=tuple(("bass", one) for one in row))
        told = settle_said(asked, part, PartSettings()).corrections
        assert [one.value.split()[0] for one in told] == ["E2", "G2"]
        assert told[0].value.split("-")[1] == told[1].value.split()[1].split("-")[0]


def test_words_said_again_by_bar_and_beat_take_the_place_of_those_by_event() -> None:
    part = straight_part()
    number = next(one.number for one in part.events if one.position is not None and one.position.bar == 3)
    before = PartSettings(corrections=(Correction("section", "Verse", number), Correction("lyrics", "la", number)))
    told = settle_said(PartAsked(said=(("section", "3.1=Bridge"),)), part, before).corrections
    assert set(told) == {Correction("section", "Bridge", number), Correction("lyrics", "la", number)}


def test_words_stand_where_damped_strings_are_struck_and_notes_do_not() -> None:
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    scene.hit(2, 0)
    part = scene.part(2)
    (told,) = settle_said(PartAsked(said=(("section", "2.1=Break"),)), part, PartSettings()).corrections
    assert told.event_number == 2
    with pytest.raises(
        BadValueError, match=r"The note 2\.1=G3 points to no chord: none is struck in bar 2 from beat 1 on"
    ):
        settle_said(PartAsked(said=(("note", "2.1=G3"),)), part, PartSettings())


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (
            ("section", "1.1=A"),
            "The section 1.1=A points to no event: the part has {n} events in free time, without bars",
        ),
        (("note", "1.1=C3"), "The note 1.1=C3 points to no chord: the part has {n} events in free time, without bars"),
        (("bass", "1.1=C"), "The bass 1.1=C points to no chord: the part has {n} events in free time, without bars"),
    ],
)
def test_a_place_in_the_bars_of_free_time_is_refused_since_there_are_none(
    said: tuple[Corrected, str], why: str
) -> None:
    part = free_part()
    with pytest.raises(BadValueError, match=re.escape(why.format(n=len(part.events)))):
        settle_said(PartAsked(said=(said,)), part, PartSettings())


@pytest.mark.parametrize("said", [("section", "3.9=A"), ("lyrics", "3.9=la"), ("note", "3.9=C3"), ("note", "99.1=C3")])
def test_a_place_that_no_bar_has_is_refused_with_the_bars_that_there_are(said: tuple[Corrected, str]) -> None:
    with pytest.raises(BadValueError, match=r"events in bars 1 to 8 of 4 beats; the full chart shows"):
        settle_said(PartAsked(said=(said,)), straight_part(), PartSettings())


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (PartAsked(names=("11.1½=F",)), "name=11.1½=F is not possible: it takes an event or a bar and beat, =, and a"),
        (PartAsked(names=("11.1½=F",)), "Write 11.1.5=F."),
        (PartAsked(said=(("section", "11.2¼=Verse"),)), "Write 11.2.25=Verse."),
        (PartAsked(said=(("note", "11.1⅓=G3"),)), "Write 11.1.333=G3."),
        (PartAsked(said=(("note", "11:1=G3"),)), "Write 12=G3 or 5.3=G3."),
        (PartAsked(said=(("lyrics", "½=la"),)), "Write 12=Verse or 5.3=Verse."),
    ],
)
def test_a_place_as_it_is_printed_is_refused_with_how_it_is_typed(asked: PartAsked, said: str) -> None:
    with pytest.raises(BadValueError, match=re.escape(said)):
        ask_settings(asked, keep=None, written=[], start_s=0.0, file="x.wav")
