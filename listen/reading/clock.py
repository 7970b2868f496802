"""A time as a player's clock shows it."""

from __future__ import annotations


def clock_text(seconds: float, decimals: int = 0) -> str:
    """Return a time as a player's clock shows it: minutes, and the seconds that have passed, or rounded to decimals.

    Examples
    --------
    >>> clock_text(83.25), clock_text(3600.0), clock_text(59.97, 1), clock_text(83.256, 2)
    ('1:23', '60:00', '1:00.0', '1:23.26')
    """
    if not decimals:
        return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"
    rounded = round(seconds, decimals)
    return f"{int(rounded) // 60}:{rounded % 60:0{3 + decimals}.{decimals}f}"
