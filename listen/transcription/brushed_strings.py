"""The fifth below a chord's root, on a string that a strum brushes and no finger has to hold: open, or under the barre.

The open A under D and the F♯ under the barre of B minor sound where the hand strums one string too many, and nobody
writes them down: the chord is D, and B minor. Fifths go with any root, so nobody takes care to leave them out either;
how often they sound is each chord's own, and is learnt from the part. A fifth that is meant in the bass is fretted
(C/G), or struck by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.transcription.held_weights import FOURTH
from listen.transcription.stroke_odds import STRAY, StrokeOdds, mix_chances

Floats = NDArray[np.float64]
Midis = tuple[int, ...]

USUAL_SHARE, USUAL_STROKES = 0.5, 2.0  # of strokes in which such a string sounds; strokes that this counts for; judged


@dataclass(frozen=True, slots=True, eq=False)
class BrushedStrings:
    """The string below each held set, where it has one, that strokes may sound without meaning it.

    Parameters
    ----------
    rows : ndarray of int, shape (n,)
        Of which set; none comes twice.
    midis : ndarray of int, shape (n,)
        What the string sounds.
    shares : ndarray, shape (n,)
        In how many of the set's strokes.
    """

    rows: NDArray[np.intp]
    midis: NDArray[np.intp]
    shares: Floats

    def weigh(self, odds: StrokeOdds, n_sets: int) -> Floats:
        """Weigh these strings in each stretch against all of them being stray, shape (n_stretches, n_sets)."""
        costs = np.zeros((len(odds.picked), n_sets))
        present, absent = odds.present[:, self.midis], odds.absent[:, self.midis]
        own = mix_chances(self.shares, present, absent) - mix_chances(STRAY, present, absent)
        costs[:, self.rows] = np.where(odds.picked[:, None], 0.0, own)
        return costs

    def learn(self, odds: StrokeOdds, path: NDArray[np.intp]) -> BrushedStrings:
        """Learn how often they sound, from which set is held in each stretch."""
        held = (path[:, None] == self.rows) & ~odds.picked[:, None]
        sounded = (held * odds.chances[:, self.midis]).sum(axis=0)
        shares = (USUAL_STROKES * USUAL_SHARE + sounded) / (USUAL_STROKES + held.sum(axis=0))
        return replace(self, shares=shares)


def find_brushed_strings(sets: Sequence[Midis], opens: Sequence[int]) -> BrushedStrings:
    """Find the strings below each set that sound the fifth of its lowest tone and need no finger.

    Parameters
    ----------
    sets : sequence of tuple of int
        MIDI numbers, low to high.
    opens : sequence of int
        What the open strings sound, low to high.

    Examples
    --------
    >>> opens = (40, 45, 50, 55, 59, 64)
    >>> d_major, b_minor, g_major = (50, 57, 62, 66), (47, 54, 59, 62, 66), (43, 47, 50, 55, 59, 67)
    >>> find_brushed_strings([d_major, b_minor, g_major], opens).midis.tolist()  # A under D, F sharp under B minor
    [45, 42]
    """
    fifths = [find_brushed(midis, opens) if midis else None for midis in sets]
    rows = [row for row, midi in enumerate(fifths) if midi is not None]
    midis = [midi for midi in fifths if midi is not None]
    return BrushedStrings(np.array(rows, np.intp), np.array(midis, np.intp), np.full(len(rows), USUAL_SHARE))


def find_brushed(midis: Midis, opens: Sequence[int]) -> int | None:
    """Find the fifth below a set's lowest tone on a string that needs no finger; None where there is none."""
    fret = midis[0] - opens[1] if len(opens) > 1 else 0
    below = set(opens[:2])
    if fret > 0 and opens[-1] + fret in midis:  # a barre from the root's string to the highest covers the lowest, too
        below.add(opens[0] + fret)
    return midis[0] - FOURTH if midis[0] - FOURTH in below else None
