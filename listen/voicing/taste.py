"""Taste: which shape of a chord a player shows first, as a sum of weighted traits."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard
from listen.theory import Chord
from listen.voicing.filters import Candidates
from listen.voicing.traits import TRAITS, measure_traits

WEIGHTS: dict[str, float] = {
    "effort": 1.0, "lacks_fifth": 0.8, "lacks_root": 3.0, "lacks_other": 0.8, "third_lowest": 2.5, "fifth_lowest": 2.5,
    "other_lowest": 2.5, "silent_below": 0.25, "silent_inside": 1.1, "silent_above": 1.1, "position": 0.2,
    "open_below": 0.15, "book": -0.5, "clash": 1.0, "power": -2.0,
}


def weigh_taste(
    candidates: Candidates, efforts: NDArray[np.float32], chord: Chord, fretboard: Fretboard
) -> NDArray[np.float32]:
    weights = np.array([WEIGHTS.get(name, 0.0) for name in TRAITS], np.float32)
    return measure_traits(candidates, efforts, chord, fretboard) @ weights
