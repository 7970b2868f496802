"""Shapes by inversion, by string set, by root string."""

from __future__ import annotations

import numpy as np

from listen.instrument import find_instrument
from listen.theory import Note, parse_chord
from listen.voicing import (
    TRIADS,
    find_power_chords,
    find_shapes,
    group_by_inversion,
    group_by_root_string,
    group_by_string_set,
)


def test_groups_lose_no_shape_and_keep_the_order() -> None:
    found = find_shapes(parse_chord("Am7"))
    for group_by in (group_by_inversion, group_by_string_set, group_by_root_string):
        groups = group_by(found)
        assert sum(len(group.voicings) for group in groups) == len(found)
        for group in groups:
            costs = np.round(group.voicings.costs, 3).tolist()
            assert costs == sorted(costs)


def test_triads_have_every_inversion_on_every_string_set() -> None:
    # Twelve forms, four sets of three inversions: the classic triad study (common practice).
    sets = group_by_string_set(find_shapes(parse_chord("C"), filters=TRIADS))
    assert len(sets) == 4
    for each in sets:
        assert [group.place for group in group_by_inversion(each.voicings)] == [0, 1, 2]


def test_a_slash_chord_is_grouped_under_its_bass() -> None:
    (only,) = group_by_inversion(find_shapes(parse_chord("D/C")))
    assert (only.place, only.lowest) == (None, Note("C"))


def test_an_altered_chord_is_grouped_under_every_tone_that_it_may_have() -> None:
    found = find_shapes(parse_chord("C7alt"))
    groups = group_by_inversion(found)
    assert sum(len(group.voicings) for group in groups) == len(found)
    told = {str(group.lowest): group.place for group in groups}
    assert {"Gb": 2, "Db": 4}.items() <= told.items()  # the fifth and the ninth, lowered (common practice)
    assert sorted(told.values(), key=lambda place: place or 0) == list(told.values())


def test_power_chords_keep_their_form_but_on_the_fourth_string() -> None:
    # From memory of any rock method: 1-3-3 on the sixth and fifth string, 1-3-4 on the fourth, for the B string.
    forms = {group.strings: group.voicings.shapes[0].text for group in find_power_chords(Note("A"))}
    assert forms[6,] == "577xxx"
    assert forms[5,] in {"x022xx", "x-12-14-14-x-x"}
    assert forms[4,] == "x-x-7-9-10-x"


def test_power_chords_of_a_fifths_tuning_have_forms_of_their_own() -> None:
    groups = find_power_chords(Note("D"), fretboard=find_instrument("mandolin").fretboard())
    assert [group.voicings[0].inversion for group in groups] == [0] * len(groups)
    assert groups[0].strings == (4,)


def test_a_rootless_group_comes_last() -> None:
    found = find_shapes(parse_chord("C"))
    assert group_by_root_string(found)[-1].strings
