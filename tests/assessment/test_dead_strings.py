"""A string that is surely silent in most chords is likelier silent in the others too."""

from __future__ import annotations

import pytest

from listen.assessment.calibration import Grounds
from listen.assessment.dead_strings import weigh_dead_strings
from listen.assessment.judge_chords import Doubted
from listen.reading import Finding


def _doubt(bar: int, string: int, probability: float) -> Doubted:
    finding = Finding("silent string", bar, 1.0, float(bar), "E4", probability=probability, string=string)
    return Doubted(finding, Grounds("silent string", 1.0))


def _chances(rows: dict[int, list[float]]) -> dict[int, list[float]]:
    doubts = [_doubt(bar, string, own) for string, row in rows.items() for bar, own in enumerate(row, start=1)]
    weighed = weigh_dead_strings(doubts, 0.9)
    return {string: [one.finding.probability for one in weighed if one.finding.string == string] for string in rows}


def test_six_of_eight_chords_make_the_other_two_sure() -> None:
    """Odds 4 : 1, times seven to three by Laplace's rule: 28 : 3."""
    weighed = _chances({1: [0.99] * 6 + [0.8, 0.3]})[1]
    assert weighed == pytest.approx([*[0.99] * 6, 28 / 31, 1 / 2])


def test_what_is_sure_in_few_chords_or_on_another_string_says_nothing() -> None:
    rows = {1: [0.99, 0.99, 0.8], 2: [0.99] * 3 + [0.7] * 3, 4: [0.8] * 8, 5: [0.99] * 8}
    assert _chances(rows) == rows
