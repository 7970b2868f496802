"""What two fingers cost that press at some distance from one another, in tables for one neck and one hand."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from listen.instrument import effort
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import (
    ACROSS_SHARE,
    EASY_SHARE,
    GREATEST_SHARE,
    PRESS_BACK,
    RELAXED_SHARE,
    STRING_GAP_MM,
    Hand,
)

Floats = NDArray[np.floating[Any]]

FAILURE = np.float32(1000.0)
"""For each thing the hand lacks while plans are compared: the fewest failures come first."""
PAIRS = ((1, 2), (1, 3), (1, 4), (2, 3), (2, 4), (3, 4))
PAIR_PARTS = ("stretch", "crowding", "beyond")


@dataclass(frozen=True, slots=True)
class PairCosts:
    """What two fingers cost: arrays of shape (parts, pairs, spots).

    The parts are :data:`PAIR_PARTS`, or their sum alone; a spot is lower fret, higher fret and strings apart, as
    :func:`find_spot` counts them. ``beside`` is for neighbouring fingers, ``around`` for the outermost of three or
    four, ``only`` for two alone.
    """

    beside: Floats
    around: Floats
    only: Floats


def find_spot(
    fretboard: Fretboard, lower: NDArray[np.int16], higher: NDArray[np.int16], apart: NDArray[np.int16]
) -> NDArray[np.int32]:
    """Return where in the tables two fingers stand."""
    return np.asarray(
        (lower.astype(np.int32) * (fretboard.top_fret + 1) + higher) * fretboard.n_strings + apart, np.int32
    )


def measure_distances_mm(fretboard: Fretboard) -> NDArray[np.float64]:
    """Measure how far two fingertips are apart: [lower fret, higher fret, strings apart].

    The measure is that of :func:`estimate_stretch_mm <listen.instrument.hand.estimate_stretch_mm>`.
    """
    wires = np.array([fretboard.wire_mm(fret) for fret in range(fretboard.top_fret + 1)])
    spaces = np.diff(wires, prepend=0.0)
    lower, higher, apart = np.ogrid[: wires.size, : wires.size, : fretboard.n_strings]
    along = np.where(higher > lower, wires[higher] - wires[lower] - PRESS_BACK * spaces[higher], 0.0)
    return np.hypot(along, ACROSS_SHARE * STRING_GAP_MM * apart)


def price_stretch(
    distance_mm: NDArray[np.float64], pair: tuple[int, int], hand: Hand
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Return what it costs two fingers to be so far apart, and whether it is too far."""
    easy, greatest = hand.reach_mm * EASY_SHARE[pair], hand.reach_mm * GREATEST_SHARE[pair]
    cost = effort.STRETCH * np.square(np.maximum(0.0, (distance_mm - easy) / (greatest - easy)))
    return cost, distance_mm > greatest


def price_skipped(frets_apart: NDArray[np.int64], pair: tuple[int, int]) -> NDArray[np.float64]:
    """Return what it costs two fingers to be more frets apart than their numbers."""
    return np.asarray(effort.SKIPPED_FRET * np.maximum(0, frets_apart - (pair[1] - pair[0])), np.float64)


@lru_cache(maxsize=16)
def tabulate_pairs(fretboard: Fretboard, hand: Hand, *, apart: bool) -> PairCosts:
    """Tabulate the costs of every pair at every distance, part by part in float64, or their sum in float32."""
    distance = measure_distances_mm(fretboard)
    spaces = np.diff([fretboard.wire_mm(fret) for fret in range(fretboard.top_fret + 1)], prepend=0.0)
    lower, higher, strings = np.ogrid[: len(distance), : len(distance), : fretboard.n_strings]
    squeezed = np.maximum(0.0, 1.0 - spaces[lower] / effort.NARROW_MM)
    narrow = effort.NARROW * np.where((lower == higher) & (strings == 1), squeezed, 0.0)
    spread = effort.SPREAD / hand.reach_mm * distance
    beside, around, only = (np.empty((len(PAIR_PARTS), len(PAIRS), distance.size), np.float64) for _ in range(3))
    for at, pair in enumerate(PAIRS):
        stretch, too_far = price_stretch(distance, pair, hand)
        crowding = effort.CROWD * np.maximum(0.0, 1.0 - distance / (hand.reach_mm * RELAXED_SHARE[pair]))
        skipped = price_skipped(higher - lower, pair)
        for table, part in (
            (beside, (stretch + skipped, crowding + narrow)),
            (around, (stretch + spread, crowding)),
            (only, (stretch + skipped + spread, crowding + narrow)),
        ):
            for row, cost in enumerate((*part, float(FAILURE) * too_far)):
                table[row, at] = cost.ravel()
    if apart:
        return PairCosts(beside, around, only)
    return PairCosts(*(table.sum(axis=0, keepdims=True).astype(np.float32) for table in (beside, around, only)))
