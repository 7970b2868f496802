"""Basses between brushes: which of them is the one that their chord began with, and which is another.

A thumb that alternates goes from the root to another string and back: in bars of four or two it is back where the next
bar begins (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from listen.evidence import StrokeEvidence
from listen.transcription.bar_evidence import CHANGE_WEIGHT, MISHEARD, BarKind, CountedStrokes

RISES_DB, MOST_RISING = 3.0, 2  # what is struck anew; a bass is one pitch, and perhaps its octave; judged
STAYS_DB = 0.0  # a string that is not struck falls
TWO_BARS_NATS = 4.5
"""What it costs that chords last two bars: more than where they begin can gain, so the thumb decides; judged."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def find_returns(strokes: Sequence[StrokeEvidence], changes: Collection[int]) -> Floats:
    """Find which basses return to the one that their chord began with.

    Parameters
    ----------
    strokes : sequence of StrokeEvidence
    changes : collection of int
        Strokes with which chords begin.

    Returns
    -------
    ndarray, shape (n_strokes,)
        1 for the bass that the chord began with, -1 for another, 0 for what is no bass, or begins a chord itself.
    """
    returns, home = np.zeros(len(strokes)), None
    for place, stroke in enumerate(strokes):
        rising = [midi for midi, rise_db in stroke.rises.items() if rise_db > RISES_DB]
        is_bass = len(rising) <= MOST_RISING and bool(stroke.rises)
        if place in changes:
            home = min(rising, default=None) if is_bass else None
        elif home is not None and is_bass:
            rise_db = stroke.rises.get(home, 0.0)
            returns[place] = 1.0 if rise_db > STAYS_DB else -1.0
    return returns


def weigh_two_bars(
    strokes: CountedStrokes, bar: BarKind, steps: Ints, *, share: float, share_of_changes: float
) -> float:
    """Weigh that chords last two bars, with a thumb that is back on their first bass where the second bar begins.

    Parameters
    ----------
    strokes : CountedStrokes
    bar : BarKind
    steps : ndarray of int, shape (n_strokes,)
        Of each stroke, from a bar line.
    share, share_of_changes : float
        How much of what basses say counts, and of what changes of chord say.

    Returns
    -------
    float
        Nats over chords that begin with any bar and a thumb that is back anywhere; 0 where they do.
    """
    bars, places = np.divmod(steps, bar.n_steps)
    odd = bars[strokes.is_change & (places == 0)] % 2
    n = max(int(odd.sum()), int((1 - odd).sum()))
    if bar.beats % 2 or not n:
        return 0.0
    nats = n * np.log(2.0 * (1.0 - MISHEARD)) + (len(odd) - n) * np.log(2.0 * MISHEARD)
    back = [_count_back(strokes.returns[places == place]) for place in (0, bar.n_steps // 2)]
    (n_back, n_at_bar), (n_back_inside, n_inside) = back
    if n_back * n_inside <= n_back_inside * n_at_bar:
        return 0.0
    together = _weigh_share(n_back + n_back_inside, n_at_bar + n_inside)
    gained = _weigh_share(n_back, n_at_bar) + _weigh_share(n_back_inside, n_inside) - together
    return max(0.0, float(share_of_changes * CHANGE_WEIGHT * nats + share * gained) - TWO_BARS_NATS)


def _count_back(returns: Floats) -> tuple[int, int]:
    return int((returns > 0).sum()), int((returns != 0).sum())


def _weigh_share(n: int, of: int) -> float:
    """Return the log-likelihood of so many of a row, at the share that a uniform prior expects of it."""
    share = (n + 1.0) / (of + 2.0)
    return float(n * np.log(share) + (of - n) * np.log(1.0 - share))
