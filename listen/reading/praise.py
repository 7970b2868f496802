"""What was done well in a check, as values; documents and reports have the words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EveryBarRight:
    """All bars that were set are right.

    Parameters
    ----------
    n_bars : int
    """

    n_bars: int


@dataclass(frozen=True, slots=True)
class RowOfBarsRight:
    """Bars one after another are right.

    Parameters
    ----------
    first_bar, last_bar : int
    """

    first_bar: int
    last_bar: int


@dataclass(frozen=True, slots=True)
class SomeBarsRight:
    """So many of the bars that were set are right.

    Parameters
    ----------
    n_right, n_bars : int
    """

    n_right: int
    n_bars: int


@dataclass(frozen=True, slots=True)
class ChordAlwaysRight:
    """A chord that comes more than once is right every time.

    Parameters
    ----------
    symbol : str
    """

    symbol: str


@dataclass(frozen=True, slots=True)
class ChangesInTime:
    """No change comes late or early, and nothing stops."""


@dataclass(frozen=True, slots=True)
class GuitarInTune:
    """No string is out of tune."""


Praise = EveryBarRight | RowOfBarsRight | SomeBarsRight | ChordAlwaysRight | ChangesInTime | GuitarInTune
