"""The first shapes are ideas that differ, near-copies beneath them."""

from __future__ import annotations

import pytest

from listen.instrument import find_instrument
from listen.theory import parse_chord
from listen.voicing import find_ideas, find_shapes


def test_the_best_shape_is_the_first_idea() -> None:
    for name in ("G", "C13", "F#m7b5"):
        assert find_ideas(find_shapes(parse_chord(name)), 6)[0].place == 0


def test_near_copies_are_folded_under_the_grip_they_copy() -> None:
    found = find_shapes(parse_chord("G"))
    first = find_ideas(found, 6)[0]
    folded = {found.shapes[place].text for place in first.like_it}
    assert {"32000x", "320033"} <= folded


def test_six_ideas_of_a_plain_chord_lie_on_different_roots_and_regions() -> None:
    found = find_shapes(parse_chord("G"))
    shapes = [found.shapes[idea.place].text for idea in find_ideas(found, 6)]
    assert {"320003", "355433", "x-10-12-12-12-10"} <= set(shapes)  # open, E and A form
    lowest = {
        (min(fret for fret in found.shapes[idea.place].frets if fret is not None)) for idea in find_ideas(found, 6)
    }
    assert len(lowest) >= 4


def test_no_shape_is_shown_or_folded_twice() -> None:
    ideas = find_ideas(find_shapes(parse_chord("Am7")), 6)
    places = [place for idea in ideas for place in (idea.place, *idea.like_it)]
    assert len(places) == len(set(places))


def test_a_form_twelve_frets_up_is_no_other_idea() -> None:
    found = find_shapes(parse_chord("G"))
    assert "15-17-17-16-15-15" not in {found.shapes[idea.place].text for idea in find_ideas(found, 6)}


@pytest.mark.parametrize(("name", "easiest"), [("C/E", "032010"), ("G/D", "xx0003"), ("G", "320003"), ("D", "xx0232")])
def test_the_easiest_full_one_stands_for_shapes_that_are_alike(name: str, easiest: str) -> None:
    # first shapes of every method: common practice, no source
    found = find_shapes(parse_chord(name))
    assert found.shapes[find_ideas(found, 1)[0].place].text == easiest


@pytest.mark.parametrize("name", ["G13", "C7#9", "C7#5", "C13", "C", "Am7"])
def test_a_chord_without_a_slash_is_shown_on_its_root_first(name: str) -> None:
    found = find_shapes(parse_chord(name))
    assert [voicing.inversion for voicing in found.pick([idea.place for idea in find_ideas(found, 3)])] == [0, 0, 0]


def test_an_open_shape_over_its_fifth_stands_for_none_on_the_root() -> None:
    found = find_shapes(parse_chord("G"), fretboard=find_instrument("DADGAD").fretboard())
    assert found[find_ideas(found, 1)[0].place].inversion == 0
