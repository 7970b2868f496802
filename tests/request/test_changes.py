"""Changes of a whole part, and words under its bars: each says what it does, and one takes the place of the other."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.errors import BadValueError
from listen.evidence import TimeSpan
from listen.reading import Correction
from listen.request import AskedChange
from listen.request.changes import take_step
from listen.request.history import Step
from tests.hand_made_parts import Scene, free_part, straight_part


def _settle(before: Step, *changes: AskedChange) -> Step:
    for change in changes:
        before = take_step(straight_part(), before, change)
    return before


@pytest.mark.parametrize(("value", "tempo"), [("×2", "192"), ("÷2", "48"), ("90", "90")])
def test_the_tempo_is_doubled_or_halved_from_the_one_that_was_counted(value: str, tempo: str) -> None:
    step = _settle(Step(), AskedChange("tempo", value))
    assert step.corrections == (Correction("tempo", tempo),)
    assert step.label == f"tempo {tempo}"


def test_free_time_has_no_tempo_to_double() -> None:
    with pytest.raises(BadValueError, match="free time: give its tempo"):
        take_step(free_part(), Step(), AskedChange("tempo", "×2"))


def test_what_is_said_of_the_whole_part_takes_the_place_of_what_was_said_before() -> None:
    step = _settle(Step(), AskedChange("title", "Morning"), AskedChange("capo", "2"), AskedChange("title", "Evening"))
    assert sorted((one.what, one.value) for one in step.corrections) == [("capo", "2"), ("title", "Evening")]
    step = _settle(step, AskedChange("title", ""))
    assert [(one.what, one.value) for one in step.corrections] == [("capo", "2")]
    assert step.label == "title as heard"


def test_words_stand_under_one_bar_each_and_an_empty_word_takes_them_out() -> None:
    step = _settle(
        Step(),
        AskedChange("lyrics", "down by the", bar=1),
        AskedChange("lyrics", "harbour", bar=2),
        AskedChange("section", "Verse", bar=1),
        AskedChange("lyrics", "out by the", bar=1),
    )
    numbers = {event.position.bar: event.number for event in reversed(straight_part().events) if event.position}
    told = {(one.what, one.value, one.event_number) for one in step.corrections}
    assert told == {
        ("lyrics", "out by the", numbers[1]), ("lyrics", "harbour", numbers[2]), ("section", "Verse", numbers[1]),
    }  # fmt: skip
    step = _settle(step, AskedChange("lyrics", "", bar=1))
    assert {(one.what, one.value) for one in step.corrections} == {("lyrics", "harbour"), ("section", "Verse")}


def test_words_of_a_bar_take_the_place_of_all_that_stand_there() -> None:
    in_bar = [event.number for event in straight_part().events if event.position and event.position.bar == 1]
    assert len(in_bar) > 1
    told = Step("", (), tuple(Correction("lyrics", "la la", number) for number in in_bar))
    assert [one.value for one in _settle(told, AskedChange("lyrics", "lo lo", bar=1)).corrections] == ["lo lo"]
    assert _settle(told, AskedChange("lyrics", "", bar=1)).corrections == ()


@pytest.mark.parametrize(("everywhere", "n_told"), [(False, 1), (True, 2)])
def test_a_name_is_given_to_one_chord_or_wherever_it_is_held(everywhere: bool, n_told: int) -> None:
    """The part goes through its chords twice."""
    step = _settle(Step(), AskedChange("name", "C", chord=1, everywhere=everywhere))
    assert [one.value for one in step.corrections] == ["C"] * n_told
    spans = straight_part().spans
    same = [number for number, span in enumerate(spans) if span.name == spans[1].name][: n_told if everywhere else 1]
    assert [one.event_number for one in step.corrections] == [spans[at].first_event + 1 for at in same]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (AskedChange("name", "C6", chord=0, bar=-1000), "bar=-1000 is not possible: it takes a bar in which the chord"),
        (AskedChange("shape", "x32010", chord=0, bar=3), "it takes a bar in which the chord lies, 1 to 2"),
        (AskedChange("name", "C6"), "No chord is named: give its number, counted from 0"),
        (AskedChange("name", "C6", chord=99), "a chord of this part, 0 to "),
    ],
)
def test_a_change_of_a_chord_names_one_and_a_bar_in_which_it_lies(change: AskedChange, said: str) -> None:
    with pytest.raises(BadValueError, match=said):
        take_step(straight_part(), Step(), change)


def test_a_chord_may_be_changed_at_a_bar_that_it_sounds_in_without_being_struck() -> None:
    scene = Scene()
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    part = scene.part(3)
    held = replace(part.spans[0], span=TimeSpan(part.bars.lines_s[0], part.bars.lines_s[2]))
    part = replace(part, spans=(held,))
    assert take_step(part, Step(), AskedChange("name", "C6", chord=0, bar=2)).corrections
    with pytest.raises(BadValueError, match="a bar in which the chord lies"):
        take_step(part, Step(), AskedChange("name", "C6", chord=0, bar=3))


def test_a_part_without_chords_says_so() -> None:
    with pytest.raises(BadValueError, match="has no chord that could be changed"):
        take_step(replace(straight_part(), spans=(), events=()), Step(), AskedChange("name", "C6", chord=0))


def test_a_time_that_is_settled_is_said_as_a_clock_shows_it() -> None:
    step = _settle(Step(), AskedChange("bar one", "63.0244"))
    assert step.label == "bar 1 at 1:03"
    assert step.corrections == (Correction("bar one", "63.0244"),)
    with pytest.raises(BadValueError, match="bar-one=soon"):
        _settle(Step(), AskedChange("bar one", "soon"))
