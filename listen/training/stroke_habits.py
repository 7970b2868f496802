"""How a player plays: what stays the same from the first stroke of a part to the last."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# every share, range and level of this file was judged, not measured
SLOW_SHARE, SLOWEST_SPREAD_S = 0.35, 0.45
WAITING_SHARE, WAITING_SHARE_OF_SLOW = 0.2, 0.5
MISSING_SHARE = 0.6
SOFT_BASS_SHARE = 0.5
SWUNG_SHARE, EVEN_SWING = 0.2, 0.5
DRIFTING_SHARE = 0.4
BRUSHING_SHARE = 0.35
CAPO_SHARE = 0.4


@dataclass(frozen=True, slots=True)
class PlayerHabits:
    """How somebody plays.

    Parameters
    ----------
    spread_s : tuple of float
        The quickest and the slowest stroke over the strings.
    wait_share : float
        Of the strokes in which the thumb waits on one string.
    missed : tuple of float
        Shares of the inner and the outer strings that a full stroke misses.
    soft_bass_db, up_softer_db, level_sd_db : float
    uneven_s : float
        Standard deviation of time.
    swing : float
        Where the second of two steps falls; a half is even.
    drift : float
        Of the tempo, over the part.
    brush_share : float
        Of the strokes that are followed by a quiet brush, which is no stroke.
    capo : int
    detuned : tuple of float
        Of each string, in semitones.
    """

    spread_s: tuple[float, float]
    wait_share: float
    missed: tuple[float, float]
    soft_bass_db: float
    up_softer_db: float
    level_sd_db: float
    uneven_s: float
    swing: float
    drift: float
    brush_share: float
    capo: int
    detuned: tuple[float, ...]


def draw_habits(rng: np.random.Generator) -> PlayerHabits:
    """Draw a player; a third spread their chords slowly."""
    slow = rng.random() < SLOW_SHARE
    quickest = rng.uniform(0.06, 0.15) if slow else rng.uniform(0.004, 0.015)
    slowest = rng.uniform(0.16, SLOWEST_SPREAD_S) if slow else rng.uniform(0.02, 0.06)
    waits = rng.random() < (WAITING_SHARE_OF_SLOW if slow else WAITING_SHARE)
    misses = rng.random() < MISSING_SHARE
    detuned = rng.normal(0.0, 0.03, 6) + rng.uniform(-0.35, 0.35)
    return PlayerHabits(
        spread_s=(quickest, slowest),
        wait_share=rng.uniform(0.1, 0.5) if waits else 0.0,
        missed=(rng.uniform(0.0, 0.1), rng.uniform(0.0, 0.35)) if misses else (0.0, 0.0),
        soft_bass_db=rng.uniform(0.0, 9.0) if rng.random() < SOFT_BASS_SHARE else 0.0,
        up_softer_db=rng.uniform(0.0, 8.0),
        level_sd_db=rng.uniform(0.5, 4.0),
        uneven_s=rng.uniform(0.003, 0.03),
        swing=rng.uniform(0.55, 0.68) if rng.random() < SWUNG_SHARE else EVEN_SWING,
        drift=rng.uniform(-0.3, 0.5) if rng.random() < DRIFTING_SHARE else 0.0,
        brush_share=rng.uniform(0.05, 0.5) if rng.random() < BRUSHING_SHARE else 0.0,
        capo=int(rng.integers(0, 6)) if rng.random() < CAPO_SHARE else 0,
        detuned=tuple(detuned.tolist()),
    )
