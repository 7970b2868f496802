"""What two fingers cost that press at some distance from one another, in tables for one neck and one hand."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

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

Floats = NDArray[np.float32]

FAILURE = np.float32(1000.0)
"""For each thing the hand lacks while plans are compared: the fewest failures come first."""


@dataclass(frozen=True, slots=True)
class PairCosts:
    """What two fingers cost, by lower fret, higher fret, strings apart (flattened) and pair of fingers.

    ``beside`` is for neighbouring fingers, ``around`` for the outermost of three or four, ``only`` for two alone.
    """

    beside: Floats
    around: Floats
    only: Floats


PAIRS = ((1, 2), (1, 3), (1, 4), (2, 3), (2, 4), (3, 4))


@lru_cache(maxsize=16)
def tabulate_pairs(fretboard: Fretboard, hand: Hand) -> PairCosts:
    """Tabulate the costs of every pair at every distance."""
    wires = np.array([fretboard.wire_mm(fret) for fret in range(fretboard.top_fret + 1)])
    spaces = np.diff(wires, prepend=0.0)
    lower, higher, apart = np.ogrid[: wires.size, : wires.size, : fretboard.n_strings]
    along = np.where(higher > lower, wires[higher] - wires[lower] - PRESS_BACK * spaces[higher], 0.0)
    distance = np.hypot(along, ACROSS_SHARE * STRING_GAP_MM * apart)[..., None]
    easy, greatest, relaxed = (
        hand.reach_mm * np.array([table[pair] for pair in PAIRS])
        for table in (EASY_SHARE, GREATEST_SHARE, RELAXED_SHARE)
    )
    around = effort.STRETCH * np.square(np.maximum(0.0, (distance - easy) / (greatest - easy)))
    around += effort.CROWD * np.maximum(0.0, 1.0 - distance / relaxed) + float(FAILURE) * (distance > greatest)
    skipped = np.maximum(0, (higher - lower)[..., None] - np.array([high - low for low, high in PAIRS]))
    narrow = np.where((lower == higher) & (apart == 1), np.maximum(0.0, 1.0 - spaces[lower] / effort.NARROW_MM), 0.0)
    beside = around + effort.SKIPPED_FRET * skipped + effort.NARROW * narrow[..., None]
    spread = effort.SPREAD / hand.reach_mm * distance
    flat = [
        np.ascontiguousarray(table.reshape(-1, len(PAIRS)).T, np.float32)
        for table in (beside, around + spread, beside + spread)
    ]
    return PairCosts(*flat)
