"""A hand that plays on three strings holds no fourth one: who never strikes a string does not miss it.

Triads up the neck lie on three strings, one inversion after another (common practice, no source): each begins with
whatever tone lies lowest there. A thumb that misses a string misses it now and then; where hardly a strum of the whole
part sounds four strings, E, G and C are C/E, and not C whose root no stroke has struck.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.evidence import N_PITCHES
from listen.transcription.stroke_odds import StrokeOdds

THREE = 3
LEAST_STRUMS = 8  # of fewer it cannot be told; judged
MOST_WITH_MORE = 0.06
"""Share of strums that may sound more strings all the same. On 174 parts of whole chords (people's, of joined strums,
takes) a quarter of the strums do at the least, on four parts of triads a twentieth at the most."""
UNSTRUCK_COST = 3.0  # nats in each stroke that does not sound so many itself; judged


def _count_struck(odds: StrokeOdds) -> NDArray[np.int64]:
    """Count the strings of each stroke, shape (n_stretches,), with a bass that is picked alone just before a strum."""
    sounds = odds.absent > 0.0
    n_sounding = sounds.sum(axis=1)
    lowest = np.where(n_sounding > 0, sounds.argmax(axis=1), N_PITCHES)
    alone = np.where(odds.picked & (n_sounding == 1), lowest, N_PITCHES)
    return np.asarray(n_sounding + (np.append(N_PITCHES, alone[:-1]) < lowest))


def plays_on_three(odds: StrokeOdds) -> bool:
    """Tell whether hardly a strum of the part sounds more than three strings."""
    return _are_on_three(odds, _count_struck(odds))


def _are_on_three(odds: StrokeOdds, struck: NDArray[np.int64]) -> bool:
    strums = struck[~odds.picked]
    return not odds.is_picked and len(strums) >= LEAST_STRUMS and float((strums > THREE).mean()) <= MOST_WITH_MORE


def weigh_unstruck(odds: StrokeOdds, sets: Sequence[tuple[int, ...]]) -> NDArray[np.float64]:
    """Weigh that a hand that plays on three strings holds more, shape (n_stretches, n_sets), in nats."""
    struck, sizes = _count_struck(odds), np.array([len(midis) for midis in sets])
    if not _are_on_three(odds, struck):
        return np.zeros((len(struck), len(sizes)))
    return np.asarray(UNSTRUCK_COST * odds.trust[:, None] * (sizes > np.maximum(struck, THREE)[:, None]))
