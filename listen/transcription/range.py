"""How far down the ear reaches, and tunings that go lower."""

from __future__ import annotations

from listen.errors import bad_value
from listen.evidence import LOWEST_HEARD
from listen.instrument import Fretboard


def check_range(fretboard: Fretboard) -> None:
    """Refuse to listen to an instrument whose open strings lie below what is heard.

    Raises
    ------
    BadValueError
        A string, over the capo, is lower than :data:`~listen.evidence.LOWEST_HEARD`.

    Examples
    --------
    >>> check_range(Fretboard())
    """
    lowest = min(fretboard.open_pitches)
    if lowest < LOWEST_HEARD:
        raise bad_value(
            "tuning",
            fretboard.tuning.name,
            allowed=f"a tuning to listen to from {LOWEST_HEARD.name} up, below which nothing is heard",
            remedy=f"Its lowest string is {lowest.name}; `listen shapes` and `listen name` take it all the same.",
        )
