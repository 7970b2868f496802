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

# Found by that command; the other row too.
WITH_A_BASS = {
    "effort": 0.76, "hollow": 0.75, "third_lowest": 1.72, "fifth_lowest": 1.85, "other_lowest": 2.13,
    "symmetric_lowest": 3.02, "fifth_under_root": 2.18, "silent_below": 0.79, "starts_high": 1.49,
    "slash_below": 0.71, "silent_inside": 1.27, "silent_above": 1.91, "thin": 1.1, "position": 1.47,
    "rich_position": -0.5, "open_above": 0.2, "steps": 0.11, "second_low": 0.9, "open": 0.38, "book": -1.0,
    "book_part": -1.08, "form": -4.52, "doubled_third": 0.56, "doubled_tension": 0.65, "unison": 0.78,
    "rich_grip": -6.86, "power": -5.61, "power_position": 0.46,
}  # fmt: skip
WITHOUT_A_BASS = {
    "effort": 2.11, "lacks_fifth": 1.56, "hollow": 2.07, "lacks_root": -3.03, "lacks_other": 5.3,
    "silent_below": 2.09, "silent_inside": 1.27, "silent_above": 2.84, "thin": 5.38, "position": 1.74,
    "rich_position": -0.33, "open_below": 1.09, "open_above": 1.96, "steps": 0.19, "open": 0.21,
    "doubled_third": 0.28, "doubled_tension": 1.11,
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
