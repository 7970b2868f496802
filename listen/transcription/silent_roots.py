"""What it says against a chord that its root sounds nowhere in a bar.

Any string may be missed or skipped, but what lacks C through a whole bar is seldom called a chord on C: a picked
G-E-G-B-E is E minor over G, not C major seventh over G whose pattern skips the fifth string each time.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.transcription.plain_names import weigh_over_basses
from listen.transcription.stroke_odds import StrokeOdds, fold_octaves

ROOT_SILENT = 0.1
"""Share of bars in which the root of what is held sounds in no octave. Over 31 parts (`tests/benchmarks/people.py`)
chords by time go from .914 to .928 and meant basses from .787 to .852, over 28 others neither moves; .02 does the
same."""


def weigh_silent_roots(odds: StrokeOdds, held: Sequence[tuple[int, ...]]) -> NDArray[np.float64]:
    """Weigh that the root of each held set sounds nowhere in the bar of each stretch, shared by the bar's stretches.

    Parameters
    ----------
    odds : StrokeOdds
    held : sequence of tuple of int
        MIDI numbers, low to high; the root is that over which they are named most plainly.

    Returns
    -------
    ndarray, shape (n_stretches, n_sets)
        Nats.
    """
    roots = [min(over, key=over.__getitem__, default=None) for over in weigh_over_basses(held)]
    in_bar = fold_octaves(odds.in_bar)
    sounds = np.stack([np.ones(len(in_bar)) if root is None else in_bar[:, root] for root in roots], axis=1)
    unheard = -np.log(sounds + (1.0 - sounds) * ROOT_SILENT)
    return np.asarray(odds.trust[:, None] * unheard / odds.n_in_bar[:, None])
