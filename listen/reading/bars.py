"""The bars of a part: how they are counted, and when each beat and each bar begins."""

from __future__ import annotations

from dataclasses import dataclass

from listen.reading.metre import Metre

TEMPO_CHANGED = 0.1  # of the tempo given last: a drift within it is how people play; judged, not measured
SETTLED_BARS = 2  # a new tempo holds so long before it is one
OTHER_TEMPO = "Another tempo begins at"
"""How a warning of a part begins that tells where its tempo changes, ``0:16`` and more after it; a chart that marks the
place does not say it again."""


@dataclass(frozen=True, slots=True)
class Bars:
    """Beats and bars; all empty in free time.

    Parameters
    ----------
    metre : Metre or None
        The one that the bars are made of; None in free time.
    metres : tuple of Metre
        All hypotheses, also half and double tempo; begins with ``metre``.
    beats_s, lines_s : tuple of float
        Beats and bar lines; ``lines_s`` holds the start of every bar and the end of the last one.
    first_bar : int
        The number of the first bar: 0 where the part begins with a pickup, less where bar 1 was put further on.
    """

    metre: Metre | None = None
    metres: tuple[Metre, ...] = ()
    beats_s: tuple[float, ...] = ()
    lines_s: tuple[float, ...] = ()
    first_bar: int = 1
