"""The bars of a part: how they are counted, and when each beat and each bar begins."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from listen.reading.event import STEPS_PER_BEAT, GridPosition
from listen.reading.metre import Metre
from listen.reading.setting import KeyChange

TEMPO_CHANGED = 0.1  # of the tempo given last: a drift within it is how people play; judged, not measured
SETTLED_BARS = 2  # a new tempo holds so long before it is one
OTHER_TEMPO = "Another tempo begins at"
"""How a warning of a part begins that tells where its tempo changes, ``0:16`` and more after it; a chart that marks the
place does not say it again."""


@dataclass(frozen=True, slots=True)
class BarLength:
    """A bar of another length than the metre's: it has a signature of its own.

    Parameters
    ----------
    bar : int
        Its number.
    n_beats : int
        As they are felt.
    """

    bar: int
    n_beats: int


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
    lengths : tuple of BarLength
        Bars of another length than the metre's, a pickup aside.
    key_changes : tuple of KeyChange
        Bars at which another key begins, in order.

    Examples
    --------
    >>> bars = Bars(Metre(4, 4, 2, 90.0), lengths=(BarLength(8, 2),))
    >>> bars.count_beats(7), bars.count_beats(8), bars.has_beat(8, Fraction(3))
    (4, 2, False)
    """

    metre: Metre | None = None
    metres: tuple[Metre, ...] = ()
    beats_s: tuple[float, ...] = ()
    lines_s: tuple[float, ...] = ()
    first_bar: int = 1
    lengths: tuple[BarLength, ...] = ()
    key_changes: tuple[KeyChange, ...] = ()

    def count_beats(self, bar: int) -> int:
        """Return how many beats a bar has, a pickup as many as its whole bar; 0 in free time."""
        whole = 0 if self.metre is None else self.metre.beats_per_bar
        return next((one.n_beats for one in self.lengths if one.bar == bar), whole)

    def has_beat(self, bar: int, beat: Fraction) -> bool:
        """Tell whether a bar has such a beat."""
        return 1 <= beat < self.count_beats(bar) + 1

    def count_steps(self, bar: int) -> int:
        """Return how many steps of the grid a bar has; of a pickup those that it has itself."""
        pickup = 0 if self.metre is None or bar != self.first_bar else self.metre.pickup_steps
        return pickup or self.count_beats(bar) * STEPS_PER_BEAT

    def count_between(self, before: GridPosition, after: GridPosition) -> int:
        """Return how many steps one place lies after another."""
        whole = 0 if self.metre is None else self.metre.beats_per_bar
        more = sum(one.n_beats - whole for one in self.lengths if before.bar <= one.bar < after.bar)
        return ((after.bar - before.bar) * whole + more) * STEPS_PER_BEAT + after.step - before.step
