"""Rises too weak to be told for strokes by themselves, settled by when they come: strokes come at even distances.

A soft guitar that is struck six times a second rises too little where a stroke comes back on strings that have not
faded. But where the strokes around leave one place of an even row empty, a rise just there is a stroke far likelier
than one anywhere else; how likely is counted on the row itself: how many of its places are struck.

Conventions: frames of 5 ms.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.audio.stroke_judge import FRAMES_A_SECOND, LEAST_ODDS, Rise

NEAR_S, LEAST_PERIOD_S = 4.0, 0.1  # strokes so near are asked how they follow each other; none follow faster for long
PLACES = ((1, 2), (1, 3), (2, 3))  # of so many in a gap: one stroke is lost there, or two
LEAST_ALIKE = 3  # distances that make a row
ALIKE_NATS, MOST_EMPTY = 0.12, 3  # by which distances of a row differ; empty places between two strokes of it
PLACE_SD, FARTHEST = 0.08, 0.3  # of a row's distance, by which a stroke is off its place; farther is another place
LEAST_DOUBTFUL, DOUBTS_NATS, ROUNDS = -4.0, 1.0, 2
"""Log-odds below which time brings nothing back; nats by which rises in empty places are something else more often than
rises anywhere. All here judged, then seen: rendered strokes at 6 a second go from F .924 to .936 (soundfont), .963 to
.971 (strings), strums of .1 to .3 s from .790 to .807; takes stay at .972 (line), .958 goes to .956 (phone)."""


def settle_by_time(strokes: Sequence[Rise], doubtful: Sequence[Rise]) -> list[Rise]:
    """Add to the strokes those doubtful rises that lie at empty places of an even row of them.

    Parameters
    ----------
    strokes, doubtful : sequence of Rise
        In time order.

    Returns
    -------
    list of Rise
        In time order.

    Examples
    --------
    >>> row = [Rise(50 * beat, 50 * beat + 5, 1.0, 2.0) for beat in range(10) if beat != 5]
    >>> on, off = (Rise(start, start + 5, 0.3, -1.5) for start in (251, 270))
    >>> [rise.start for rise in settle_by_time(row, [on, off]) if rise.odds < 0.0]
    [251]
    """
    found, left = list(strokes), [rise for rise in doubtful if rise.odds > LEAST_DOUBTFUL]
    for _ in range(ROUNDS):
        starts_s = np.array([rise.start for rise in found]) / FRAMES_A_SECOND
        odds = [rise.odds + _weigh_place(rise.start / FRAMES_A_SECOND, starts_s) - DOUBTS_NATS for rise in left]
        found += [rise for rise, said in zip(left, odds, strict=True) if said > LEAST_ODDS]
        left = [rise for rise, said in zip(left, odds, strict=True) if said <= LEAST_ODDS]
        found.sort(key=lambda rise: rise.start)
    return found


def _weigh_place(time_s: float, starts_s: NDArray[np.float64]) -> float:
    """Weigh a time by the best row of strokes around it that leaves a place there, in nats; -inf where none does."""
    after = int(np.searchsorted(starts_s, time_s))
    if not 0 < after < len(starts_s):
        return -np.inf
    before_s, gap_s = starts_s[after - 1], starts_s[after] - starts_s[after - 1]
    first, last = np.searchsorted(starts_s, [time_s - NEAR_S, time_s + NEAR_S])
    distances_s = np.diff(starts_s[first:last])
    best = -np.inf
    for place, n_places in PLACES:
        period_s = gap_s / n_places
        off = (time_s - before_s) / period_s - place
        if period_s >= LEAST_PERIOD_S and abs(off) <= FARTHEST:
            likely = -np.log(PLACE_SD * np.sqrt(2.0 * np.pi)) - 0.5 * (off / PLACE_SD) ** 2
            best = max(best, weigh_row(distances_s / period_s) + likely)
    return float(best)


def weigh_row(distances: NDArray[np.float64]) -> float:
    """Weigh how many places of a row are struck, from distances in its own; -inf where hardly any follow so."""
    n = np.maximum(np.round(distances), 1.0)
    alike = (np.abs(np.log(np.maximum(distances, 1e-3) / n)) < ALIKE_NATS) & (n <= MOST_EMPTY + 1)
    n_struck, n_empty = (alike & (n == 1)).sum(), (n[alike] - 1.0).sum()
    return float(np.log((n_struck + 0.5) / (n_empty + 0.5))) if n_struck >= LEAST_ALIKE else -np.inf
