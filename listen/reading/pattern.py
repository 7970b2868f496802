"""The strumming pattern: the commonest bar of the picking hand."""

from __future__ import annotations

from dataclasses import dataclass

from listen.evidence import Direction
from listen.reading.event import StrokeKind

USUAL_SHARE = 0.4  # of the bars; rarer ones (20 to 33 %) were wrong on each of the few parts that were checked
USUAL_NEARLY = 0.5  # of the bars, where it counts those that are nearly so; judged


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
    nearly : tuple of int
        Numbers of the bars that are played so but for a stroke in six.
    """

    strokes: tuple[PatternStroke, ...]
    bars: tuple[int, ...]
    share: float
    nearly: tuple[int, ...] = ()

    @property
    def n_bars(self) -> int:
        """How many bars have strokes."""
        return max(len(self.bars) + len(self.nearly), round(len(self.bars) / self.share)) if self.share else 0

    @property
    def is_usual(self) -> bool:
        """Whether it is the pattern of its part: many bars are played so, or more than half so or nearly so."""
        n_alike = len(self.bars) + len(self.nearly)
        return self.share >= USUAL_SHARE or (self.share > 0.0 and n_alike > USUAL_NEARLY * self.n_bars)
