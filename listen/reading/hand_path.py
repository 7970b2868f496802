"""The path of the hand through a part: what it costs, and where another path is gentler."""

from __future__ import annotations

from dataclasses import dataclass

from listen.reading.strum import ShapeReading


@dataclass(frozen=True, slots=True)
class PathDifference:
    """Where the cheapest path and the path whose hardest move is easiest hold different shapes.

    Parameters
    ----------
    span_index : int
    cheapest, gentlest : ShapeReading
        The shape on the cheapest path (which the part shows), and on the other.
    """

    span_index: int
    cheapest: ShapeReading
    gentlest: ShapeReading


@dataclass(frozen=True, slots=True)
class HandPath:
    """What the path of the hand costs, and the other path.

    Parameters
    ----------
    total_cost, hardest_cost : float
        Of the cheapest path: sum of its moves, and its hardest one, in the unit of effort.
    hardest_span : int or None
        Index of the span that the hardest move leads into.
    gentlest_total_cost, gentlest_hardest_cost : float
        The same of the path whose hardest move is easiest (Hori & Sagayama 2016).
    differences : tuple of PathDifference
        Empty when both hold the same shapes.
    """

    total_cost: float
    hardest_cost: float
    hardest_span: int | None
    gentlest_total_cost: float
    gentlest_hardest_cost: float
    differences: tuple[PathDifference, ...] = ()
