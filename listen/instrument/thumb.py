"""The thumb over the neck, on the lowest string: where it can press."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.instrument.effort import THUMB_REACH
from listen.instrument.hand import Hand


def find_thumb_failures(columns: NDArray[np.int8], hand: Hand) -> NDArray[np.bool_]:
    """Find where a hand cannot stop the lowest string with its thumb.

    Parameters
    ----------
    columns : ndarray, shape (n_strings, n), int8
        Shapes, the highest-numbered string first; that string is stopped.
    hand : Hand
    """
    others = np.where(columns[1:] > 0, columns[1:], np.int8(127)).min(axis=0, initial=127)
    against = np.where(others < 127, columns[0] - others, 0)
    return np.asarray((against < THUMB_REACH[0]) | (against > THUMB_REACH[1]) | (not hand.thumb), np.bool_)
