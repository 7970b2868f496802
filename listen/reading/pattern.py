"""The strumming pattern: the commonest bar of the picking hand."""

from __future__ import annotations

from dataclasses import dataclass

from listen.evidence import Direction
from listen.reading.event import StrokeKind


@dataclass(frozen=True, slots=True)
class PatternStroke:
    """One stroke of the strumming pattern.

    Parameters
    ----------
    step : int
        From the bar line.
    direction : "down", "up" or None
    kind : StrokeKind
    accent : bool
    """

    step: int
    direction: Direction | None
    kind: StrokeKind
    accent: bool = False


@dataclass(frozen=True, slots=True)
class StrummingPattern:
    """The commonest bar of the picking hand.

    Parameters
    ----------
    strokes : tuple of PatternStroke
    bars : tuple of int
        Numbers of the bars that are played so.
    share : float
        Of all bars with strokes, 0..1.
    """

    strokes: tuple[PatternStroke, ...]
    bars: tuple[int, ...]
    share: float
