"""The lowest note of a chord: which of its strokes tell it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.assessment.heard import HeardMatrix
from listen.assessment.slots import LEAST_TONES, PlayedSlot

Places = NDArray[np.intp]
NEAR_BEGIN = 0.5  # beats after a chord was due in which its first stroke still begins it


def find_telling(
    played: PlayedSlot, heard: HeardMatrix, sounds: Sequence[int], chances: NDArray[np.float64]
) -> list[Places]:
    """Find which sounds tell the lowest note: ways to see it, any of which may show the one that was set.

    Where a chord is picked, the string that it begins with is its bass: inner strings picked after it do not replace
    it, nor need it be the lowest of a thumb that alternates. Where it is strummed, the strokes that reach the lowest
    string tell it. Both do where a bass is picked before the strum.

    Parameters
    ----------
    played : PlayedSlot
    heard : HeardMatrix
    sounds : sequence of int
        Those of the chord, or of a part of it.
    chances : ndarray, shape (len(sounds), 128)
        Of :func:`~listen.assessment.slots.bass_chances`.

    Returns
    -------
    list of ndarray of int
        Indices into `sounds`, the first to be told first; empty where a picked chord's beginning was not heard.
    """
    is_full = (heard.pitches[list(sounds)] > 0.0).sum(axis=1) >= LEAST_TONES
    full = np.flatnonzero(is_full)
    ways = [_find_reaching(played, heard, sounds, chances, full)] if len(full) else []
    begins_s = heard.performance.sounds[sounds[0]].start_s
    is_begun = bool(played.held_over) or begins_s <= played.start_s + NEAR_BEGIN * played.beat_s
    if is_full[0] or (sounds[0] == played.sounds[0] and not is_begun):
        return ways
    lowest = (chances @ np.arange(chances.shape[1])).argmin()
    return [np.array([0]), *(ways or [np.array([lowest])])]


def find_likely_bass(chances: NDArray[np.float64]) -> int:
    """Return the pitch class that is likeliest the lowest, over some strokes."""
    by_pitch = chances.sum(axis=0)
    return max(range(12), key=lambda pitch_class: float(by_pitch[pitch_class::12].sum()))


def _find_reaching(
    played: PlayedSlot, heard: HeardMatrix, sounds: Sequence[int], chances: NDArray[np.float64], full: Places
) -> Places:
    """Find which strummed sounds reach the lowest string: those struck down; where none surely is, the lower half.

    An upstroke seldom does, and its lowest note may bear the name that was set. Only where no way is told they are
    chosen by how low they are: that prefers a note that is taken for a bass and is none.
    """
    struck = [heard.performance.strokes[stroke] for stroke in played.strokes]
    down = [at for at in full.tolist() if any(one.lean > 0.0 for one in struck if one.sound == sounds[at])]
    if down:
        return np.array(down)
    reach = chances[full] @ np.arange(chances.shape[1])
    return full[np.argsort(reach, kind="stable")[: (len(reach) + 1) // 2]]
