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
        return f"{_write_place(self)}={self.shape.text}"


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
        Where it holds; None for the whole part, or where a bar is given.
    bar : int or None
        Of a name: it holds from there to the next change of chord, or to the end of the bar.
    beat : Fraction
        Counted from 1; used with ``bar``.
    """

    what: Corrected
    value: str
    event_number: int | None = None
    bar: int | None = None
    beat: Fraction = Fraction(1)

    @property
    def text(self) -> str:
        """As it is given on the command line: ``12=C6/9``, ``5.3=C6/9``; what holds for the whole part as it is."""
        is_whole = self.event_number is None and self.bar is None
        return self.value if is_whole else f"{_write_place(self)}={self.value}"


def _write_place(told: Pin | Correction) -> str:
    return f"{told.event_number}" if told.bar is None else f"{told.bar}.{float(told.beat):g}"


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
