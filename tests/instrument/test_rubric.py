"""The published rubric's rule form."""

from __future__ import annotations

import pytest

from listen.instrument import parse_shape
from tests.benchmarks.rubric import rate_by_rubric


@pytest.mark.parametrize(
    ("text", "fingers", "levels"),
    [  # worked by hand from the rules as hand.md gives them (Vélez Vásquez et al. 2023)
        ("022000", (0, 2, 3, 0, 0, 0), (0, 1.0, 0)),
        ("x32010", (0, 3, 2, 0, 1, 0), (2, 1.5, 1)),
        ("133211", (1, 3, 4, 2, 1, 1), (2, 2.5, 0)),
        ("3x0003", (2, 0, 0, 0, 0, 3), (0, 1.0, 2)),
        ("3x0x03", (2, 0, 0, 0, 0, 3), (0, 1.0, 3)),
        ("x15xxx", (0, 1, 4, 0, 0, 0), (3, 1.0, 1)),
        ("000000", (0, 0, 0, 0, 0, 0), (0, 0.0, 0)),
    ],
)
def test_levels_follow_the_rules(text: str, fingers: tuple[int, ...], levels: tuple[float, float, float]) -> None:
    rated = rate_by_rubric(parse_shape(text), fingers)
    assert (rated.positioning, rated.fingering, rated.right_hand) == levels


def test_the_score_weighs_positioning_most() -> None:
    rated = rate_by_rubric(parse_shape("133211"), (1, 3, 4, 2, 1, 1))
    assert rated.score == pytest.approx((3 * 2 + 2 * 2.5 + 2 * 0) / 7)
