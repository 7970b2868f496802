"""What a part is played in: its key, and how the instrument was set up, each as a hypothesis."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from listen.instrument import Fretboard
from listen.theory import Note


@dataclass(frozen=True, slots=True)
class PartKey:
    """A key of the part, as one hypothesis.

    Parameters
    ----------
    tonic : Note
    mode : "major" or "minor"
    probability : float
    """

    tonic: Note
    mode: Literal["major", "minor"]
    probability: float = 1.0

    @property
    def text(self) -> str:
        """In plain letters: ``F# minor``."""
        return f"{self.tonic} {self.mode}"


@dataclass(frozen=True, slots=True)
class KeyChange:
    """Another key, and the bar at which it begins.

    Parameters
    ----------
    bar : int
        Its number; the key holds to the next change, or to the end.
    key : PartKey
    """

    bar: int
    key: PartKey


@dataclass(frozen=True, slots=True)
class SetupHypothesis:
    """How the instrument may have been set up.

    Parameters
    ----------
    fretboard : Fretboard
        Tuning and capo.
    tuning_offset_cents : float
        What is left against A4 = 440 Hz under this hypothesis: 40 cents sharp of standard tuning is also 60 cents
        flat of a half step up.
    probability : float
    text : str
        For the head of a chart: ``"Capo 3"``, ``"Tune down ½ step"``; empty for standard tuning without a capo.
    reasons : tuple of str
        What speaks for it, in a player's words.
    told : bool
        Whether the player said so (probability 1, no inference).
    """

    fretboard: Fretboard
    tuning_offset_cents: float
    probability: float
    text: str = ""
    reasons: tuple[str, ...] = ()
    told: bool = False
