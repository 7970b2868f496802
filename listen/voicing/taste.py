"""Taste: which shape of a chord a player shows first, as a weighted sum of traits.

Conventions: a cost in points of effort, the least first. Two kinds of instrument, two rows of weights: those whose
lowest string bears the bass (guitars, basses), and small instruments that play chords above one (ukulele, mandolin).

Where the weights come from. Each row is the most likely one (a conditional logit: the listed shape against every other
shape of its chord) for the first positions of the open data ``@tombatossals/chords-db`` on eight roots; four roots are
left out. On the guitar it is held to a start that was judged, not counted: root position, the forms of
:mod:`listen.voicing.forms`, the grips and power chords that the trade holds in common, of which the data has few or
none. ``python -m tests.benchmarks.taste_weights`` sets them again, ``python -m tests.benchmarks.first_shapes`` prints
how well they do.

References
----------
D. McFadden, "Conditional logit analysis of qualitative choice behavior", in Frontiers in Econometrics, 1974.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard
from listen.theory import Chord
from listen.voicing.filters import Candidates
from listen.voicing.traits import TRAITS, measure_traits

WITH_A_BASS = {
    "effort": 0.82, "lacks_fifth": 0.64, "lacks_root": 3.0, "lacks_other": 1.0, "third_lowest": 2.49,
    "fifth_lowest": 1.99, "other_lowest": 3.0, "fifth_under_root": -0.71, "silent_below": 0.22, "starts_high": 1.5,
    "slash_below": 0.9, "silent_inside": 0.81, "silent_above": 1.1, "thin": 2.0, "position": 1.04,
    "rich_position": -0.16, "open_below": 0.32, "book": -0.97, "form": -3.46, "doubled_third": 0.18,
    "doubled_tension": 0.29, "unison": 0.3, "clash": 0.98, "grip": -1.0, "rich_grip": -6.8, "power": -8.0,
    "power_position": 0.5,
}  # fmt: skip
WITHOUT_A_BASS = {
    "effort": 1.43, "lacks_fifth": 1.31, "lacks_root": -0.91, "lacks_other": 1.68, "silent_below": 0.73,
    "silent_inside": 0.37, "silent_above": 0.72, "thin": 3.4, "position": 1.2, "rich_position": -0.06,
    "open_below": 0.71, "doubled_third": 0.2, "doubled_tension": 0.32,
}  # fmt: skip


def weigh_taste(
    candidates: Candidates, efforts: NDArray[np.float32], chord: Chord, fretboard: Fretboard
) -> NDArray[np.float32]:
    """Weigh shapes of a chord, the one to show first lowest.

    Parameters
    ----------
    candidates : Candidates
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
