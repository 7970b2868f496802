"""Efforts and fingerings of the vector measure against the slow and readable one."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import spearmanr

from listen.errors import BadValueError
from listen.instrument import (
    SMALL_HAND,
    USUAL_HAND,
    WIDE_HAND,
    Fretboard,
    Hand,
    Shape,
    best_fingering,
    best_fingerings,
    estimate_efforts,
    find_instrument,
    measure_efforts,
)
from tests.instrument.slow_effort import find_best

BOOK = Path(__file__).parents[1] / "data" / "chords-db" / "guitar.json"  # npm @tombatossals/chords-db 0.5.1, MIT


def draw_shapes(count: int, fretboard: Fretboard, *, seed: int) -> NDArray[np.int8]:
    """Draw shapes whose stopped frets lie within five of one another."""
    rng = np.random.default_rng(seed)
    base = rng.integers(1, fretboard.top_fret - 5, (count, 1))
    kind = rng.choice([-1, 0, 1, 2, 3, 4, 5], (count, fretboard.n_strings), p=[0.15, 0.15, 0.25, 0.15, 0.15, 0.1, 0.05])
    return np.where(kind > 0, base + kind - 1, kind).astype(np.int8)


def to_shape(row: NDArray[np.int8]) -> Shape:
    return Shape(tuple(None if fret < 0 else int(fret) for fret in row))


@pytest.mark.parametrize(
    ("name", "capo_fret", "hand"),
    [
        ("standard", 0, USUAL_HAND),
        ("standard", 4, Hand(100.0, thumb=True, picking="fingers")),
        ("ukulele", 0, WIDE_HAND),
        ("bass", 0, SMALL_HAND),
        ("seven-string", 0, Hand(95.0, thumb=True)),
    ],
)
def test_the_vector_measure_equals_the_slow_one(name: str, capo_fret: int, hand: Hand) -> None:
    neck = find_instrument(name).fretboard(capo_fret=capo_fret)
    rows = draw_shapes(200, neck, seed=len(name))
    shapes = [to_shape(row) for row in rows]
    measured, fingerings = measure_efforts(rows, neck, hand=hand), best_fingerings(shapes, neck, hand=hand)
    for shape, effort, playable, held in zip(shapes, measured.effort, measured.playable, fingerings, strict=True):
        contacts, parts, can_hold = find_best(shape, neck, hand=hand)
        assert float(effort) == pytest.approx(sum(parts.values()), abs=2e-3), shape.text
        assert dict(held.parts) == pytest.approx({name: cost for name, cost in parts.items() if cost}, abs=6e-5)
        assert held.playable == playable == can_hold, shape.text
        assert {finger for finger in held.fingers if finger} == {contact.finger or "T" for contact in contacts}


def test_shapes_weighed_together_are_held_as_each_by_itself() -> None:
    neck = Fretboard()
    shapes = [to_shape(row) for row in draw_shapes(40, neck, seed=1)]
    assert best_fingerings(shapes, neck) == tuple(best_fingering(shape, neck) for shape in shapes)
    assert best_fingerings([], neck) == ()


def test_the_exact_measure_takes_no_shapes_and_one() -> None:
    neck = Fretboard()
    assert measure_efforts(np.empty((0, 6), np.int8), neck).effort.shape == (0,)
    assert estimate_efforts(np.empty((0, 6), np.int8), neck).shape == (0,)
    silent = np.full((1, 6), -1, np.int8)
    assert measure_efforts(silent, neck).effort[0] == estimate_efforts(silent, neck)[0] == 0


def test_the_quick_estimate_ranks_the_open_shape_data_as_the_exact_measure_does() -> None:
    neck = find_instrument("standard").fretboard()
    data = json.loads(BOOK.read_text(encoding="utf-8"))
    positions = [each for chords in data["chords"].values() for chord in chords for each in chord["positions"]]
    rows = np.array(
        [[fret + (each["baseFret"] - 1) * (fret > 0) for fret in each["frets"]] for each in positions], np.int8
    )
    assert len(rows) == 2069
    rank = spearmanr(measure_efforts(rows, neck).effort, estimate_efforts(rows, neck)).statistic
    assert rank >= 0.96  # measured .978


def test_the_quick_estimate_ranks_drawn_shapes_nearly_so() -> None:
    neck = Fretboard()
    rows = draw_shapes(4000, neck, seed=7)
    measured = measure_efforts(rows, neck)
    estimated = estimate_efforts(rows, neck)
    kept = measured.playable
    assert spearmanr(measured.effort[kept], estimated[kept]).statistic >= 0.95  # measured .966
    assert estimated.min() >= 0


def test_both_measures_refuse_rows_of_another_instrument() -> None:
    for measure in (measure_efforts, estimate_efforts):
        with pytest.raises(BadValueError, match="rows of 6 frets"):
            measure(np.zeros((3, 4), np.int8), Fretboard())
