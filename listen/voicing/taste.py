"""Taste: which shape of a chord a player shows first, as a weighted sum of traits.

Conventions: a cost in points of effort, the least first. Two kinds of instrument, two rows of weights: those whose
lowest string bears the bass (guitars, basses), and small instruments that play chords above one (ukulele, mandolin).

Where the weights come from. None is set by hand. ``python -m tests.benchmarks.taste_weights`` finds both rows: on eight
roots, the answers of common practice (``tests/data/first_shapes``) and the first positions of the open data
``@tombatossals/chords-db`` shall cost less than the best, the third and the eighth of the other shapes of their chord.
Four roots are left out; ``python -m tests.benchmarks.first_shapes`` prints how well the weights do, on these apart. A
trait that neither source needs has no weight and is not named here.

References
----------
T. Joachims, "Optimizing search engines using clickthrough data", KDD 2002: ranking learnt from such wishes.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard
from listen.theory import Chord
from listen.voicing.shape_table import ShapeTable
from listen.voicing.traits import TRAITS, measure_traits

WITH_A_BASS = {
    "effort": 0.81, "hollow": 0.99, "third_lowest": 1.92, "fifth_lowest": 1.97, "other_lowest": 2.34,
    "symmetric_lowest": 2.36, "fifth_under_root": 2.25, "silent_below": 0.71, "starts_high": 1.5, "slash_below": 0.89,
    "silent_inside": 1.33, "silent_above": 1.88, "thin": 1.61, "position": 1.53, "rich_position": -0.44, "steps":
    0.18, "added_low": 1.91, "open": 0.2, "book": -0.99, "form": -5.02, "doubled_third": 0.56, "doubled_tension": 0.9,
    "unison": 0.06, "rich_grip": -6.75, "power": -5.34, "power_position": 0.45,
}  # fmt: skip
WITHOUT_A_BASS = {
    "effort": 2.23, "lacks_fifth": 1.33, "hollow": 2.19, "lacks_root": -2.95, "lacks_other": 4.64, "silent_below":
    2.11, "silent_inside": 1.02, "silent_above": 2.93, "thin": 5.77, "position": 1.77, "rich_position": -0.42,
    "open_below": 1.36, "open_above": 1.68, "steps": 0.21, "open": -0.12, "doubled_third": 0.22, "doubled_tension":
    0.87,
}  # fmt: skip


def weigh_taste(
    candidates: ShapeTable, efforts: NDArray[np.float32], chord: Chord, fretboard: Fretboard
) -> NDArray[np.float32]:
    """Weigh shapes of a chord, the one to show first lowest.

    Parameters
    ----------
    candidates : ShapeTable
    efforts : ndarray, shape (n,)
    chord : Chord
        With its bass where one is asked.
    fretboard : Fretboard

    Returns
    -------
    ndarray, shape (n,), float32
    """
    weights = _load_weights(fretboard.tuning.bears_bass)
    return np.asarray(measure_traits(candidates, efforts, chord, fretboard) @ weights, np.float32)


@cache
def _load_weights(bears_bass: bool) -> NDArray[np.float32]:
    named = WITH_A_BASS if bears_bass else WITHOUT_A_BASS
    return np.array([named.get(name, 0.0) for name in TRAITS], np.float32)
