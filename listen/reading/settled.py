"""What a person settled in a part, kept so that reading again never loses it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from listen.instrument import Shape


@dataclass(frozen=True, slots=True)
class Pin:
    """A shape that a person fixed: by event number, or by bar and beat.

    Parameters
    ----------
    shape : Shape
    event_number : int or None
    bar : int or None
    beat : Fraction
        Counted from 1; used with ``bar``.
    """

    shape: Shape
    event_number: int | None = None
    bar: int | None = None
    beat: Fraction = Fraction(1)

    @property
    def text(self) -> str:
        """As it is given on the command line: ``12=x32010``, ``5.3=x32010``."""
        if self.bar is None:
            return f"{self.event_number}={self.shape.text}"
        return f"{self.bar}.{float(self.beat):g}={self.shape.text}"


Corrected = Literal[
    "metre",
    "tempo",
    "bar one",
    "bar line",
    "key",
    "capo",
    "tuning",
    "name",
    "note",
    "no note",
    "bass",
    "title",
    "section",
    "lyrics",
]
"""The first ones are decoded with; ``title``, ``section`` (from an event on) and ``lyrics`` are only written down."""


@dataclass(frozen=True, slots=True)
class Correction:
    """Something else that a person settled, kept so that reading again never loses it.

    Parameters
    ----------
    what : Corrected
    value : str
        As it was given: ``"3/4"``, ``"96"``, ``"0:03.2"``, ``"Bb major"``, ``"C6/9"``; of bar lines, all of them:
        ``"0:12 0:31.5"``; of a note, which sounds, does not sound or is the bass, with its stretch of the recording:
        ``"G3 12.350-14.020"``.
    event_number : int or None
        Where it holds; None for the whole part.
    """

    what: Corrected
    value: str
    event_number: int | None = None


@dataclass(frozen=True, slots=True)
class Settled:
    """All that a person settled in a part.

    Parameters
    ----------
    pins : tuple of Pin
    corrections : tuple of Correction
    """

    pins: tuple[Pin, ...] = ()
    corrections: tuple[Correction, ...] = ()
