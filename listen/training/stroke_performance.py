"""What was played in a scene: notes, noises of the hand, and the truth about the strokes.

Conventions: seconds from the start of the sound; levels in dB against an ordinary stroke.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlayedStroke:
    """The truth about one stroke.

    Parameters
    ----------
    onset_s : float
    way : int
        1 down, −1 up, 0 where it has no direction.
    damped : bool
        Whether the strings were stilled.
    """

    onset_s: float
    way: int = 0
    damped: bool = False


@dataclass(slots=True)
class BankNote:
    """A note that is to be taken from the bank; it ends early where its string is stilled or struck again.

    Parameters
    ----------
    onset_s, end_s : float
    midi : float
    level_db, softer_db : float
        Loudness, and how much duller than an ordinary stroke.
    """

    onset_s: float
    end_s: float
    midi: float
    level_db: float
    softer_db: float


@dataclass(frozen=True, slots=True)
class Burst:
    """A noise of the hand.

    Parameters
    ----------
    onset_s, level_db, decay_s, centre_hz : float
        The level against half the part's peak.
    """

    onset_s: float
    level_db: float
    decay_s: float
    centre_hz: float


@dataclass(frozen=True, slots=True)
class ScenePerformance:
    """What was played.

    Parameters
    ----------
    notes : tuple of BankNote
    bursts : tuple of Burst
    strokes : tuple of PlayedStroke
        In time.
    beat_s : float
    """

    notes: tuple[BankNote, ...]
    bursts: tuple[Burst, ...]
    strokes: tuple[PlayedStroke, ...]
    beat_s: float
