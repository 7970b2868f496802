"""Which strings are out of tune, and how much has to be measured for it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import HeardCents
from tests.hand_made_performances import hear_chords

STRINGS = (48, 52, 55, 60)  # of C, without the highest


@pytest.mark.parametrize(("measured_every", "strings"), [(2, [1]), (4, [1]), (10, [])])
def test_a_string_that_is_measured_in_few_of_its_sounds_is_not_judged(measured_every: int, strings: list[int]) -> None:
    """Another sounds an octave below it: the few measurements are of partials that both have."""
    played = hear_chords(["C3 E3 G3 C4 E4"] * 40)
    sounds = tuple(
        replace(
            one,
            cents=tuple(HeardCents(midi, 0.0, 6.0) for midi in STRINGS)
            + ((HeardCents(64, 31.0, 4.0),) if at % measured_every == 0 else ()),
        )
        for at, one in enumerate(played.sounds)
    )
    check = assess(replace(played, sounds=sounds), parse_chart("tempo: 60\n|: C | C :| x5"))
    assert [one.string for one in check.findings] == strings
