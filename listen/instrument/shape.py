"""A shape: where the hand stops each string, and how it may be fingered.

Conventions: same order as the tuning, the highest-numbered string first; None is a string that is not played, 0 an
open string, other frets count from the capo. Written ``x32010``, or ``x-10-12-12-11-x`` where a fret has two digits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from listen.instrument.fretboard import Fretboard
from listen.theory import Pitch

Finger = int | Literal["T"] | None  # 1..4, "T" the thumb over the neck, 0 an open string, None not played


@dataclass(frozen=True, slots=True, order=True)
class Shape:
    """Frets by string.

    Parameters
    ----------
    frets : tuple of int or None
        Highest-numbered string first.

    Examples
    --------
    >>> Shape((None, 3, 2, 0, 1, 0)).text
    'x32010'
    >>> Shape((None, 10, 12, 12, 11, None)).text
    'x-10-12-12-11-x'
    """

    frets: tuple[int | None, ...]

    @property
    def text(self) -> str:
        """The frets as players write them."""
        parts = ["x" if fret is None else str(fret) for fret in self.frets]
        return ("-" if any(len(part) > 1 for part in parts) else "").join(parts)

    @property
    def n_played(self) -> int:
        """How many strings sound."""
        return sum(fret is not None for fret in self.frets)

    def pitches(self, fretboard: Fretboard) -> tuple[Pitch | None, ...]:
        """Return what each string sounds, in string order; None where it is not played."""
        return tuple(None if fret is None else fretboard.pitch_at(index, fret) for index, fret in enumerate(self.frets))


@dataclass(frozen=True, slots=True)
class Barre:
    """One finger held flat over several strings.

    Parameters
    ----------
    finger : int
        1..4.
    fret : int
        Counted from the capo.
    first_string, last_string : int
        Indices into the shape's frets, both included; the first is the lower-sounding side of the neck.
    """

    finger: int
    fret: int
    first_string: int
    last_string: int


@dataclass(frozen=True, slots=True)
class Fingering:
    """One way to hold a shape.

    Parameters
    ----------
    fingers : tuple of Finger
        Same order as the shape's frets.
    barres : tuple of Barre
    span_mm : float
        Along the neck, between the outermost fretting fingers.
    effort : float
        0 (nothing to hold) upward; comparable between shapes on one neck. About 10 is the hardest in use.
    reasons : tuple of str
        Why it is easy or hard, in words for a player, most telling first.
    playable : bool
        Whether the hand it was made for can hold it; an unplayable shape still has its best fingering and an effort.
    parts : tuple of (str, float)
        What the effort is made of.
    """

    fingers: tuple[Finger, ...]
    barres: tuple[Barre, ...]
    span_mm: float
    effort: float
    reasons: tuple[str, ...]
    playable: bool = True
    parts: tuple[tuple[str, float], ...] = ()
