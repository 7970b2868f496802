"""Power chords whose fifth walks: root and fifth in turn with root and sixth, or seventh, are one chord of that root.

So a shuffle is played on two strings: the root stays, and the finger on the fifth goes up by two frets or three and
comes back. Fifth and sixth lie on one string, so a hand holds no chord of root, fifth and sixth there (common practice
of boogie accompaniment, no source).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.transcription.stroke_odds import StrokeOdds, mark_members, mix_chances

Floats = NDArray[np.float64]

FIFTH, WALKS = 7, (2, 3)  # semitones: over the root, and from the fifth to the sixth and the minor seventh
POWER_CHORDS = ((0, FIFTH), (0, FIFTH, 12))
MOST_SOUNDING = 4  # pitches of a stroke on two strings, with what rings on and an octave
WALKING = 0.5  # share of strokes in which the fifth has gone to either of them; judged


def mark_walks(sets: Sequence[tuple[int, ...]], steps: tuple[int, ...] = WALKS) -> Floats:
    """Mark where the fifth of each set may walk to, shape (n_sets, 128); nowhere but from a power chord over its root.

    Examples
    --------
    >>> np.argwhere(mark_walks([(45, 52), (45, 52, 57), (45, 52, 57, 61)])).tolist()  # A5, A5 with its octave, A
    [[0, 54], [0, 55], [1, 54], [1, 55]]
    """
    return mark_members([tuple(midis[1] + step for step in steps) if _is_fifth(midis) else () for midis in sets])


def _is_fifth(midis: Sequence[int]) -> bool:
    """Tell whether pitches, low to high, are a root, its fifth, and perhaps its octave."""
    return tuple(midi - midis[0] for midi in midis) in POWER_CHORDS


def weigh_walking_fifths(odds: StrokeOdds, held: Sequence[tuple[int, ...]]) -> Floats:
    """Weigh what the fifth of each held set walks to, against its being stray, shape (n_stretches, n_sets), in nats."""
    walking = np.minimum(mix_chances(WALKING, odds.present, odds.absent) - odds.stray, 0.0)
    few = (odds.absent > 0.0).sum(axis=1) <= MOST_SOUNDING
    sixth, seventh = (mark_walks(held, (step,)).T for step in WALKS)
    with_sixth = np.roll(odds.in_bar, 1, axis=1)  # a seventh whose bar has no sixth is a tone of its chord
    return np.asarray((odds.trust * few)[:, None] * (walking @ sixth + (walking * with_sixth) @ seventh))
