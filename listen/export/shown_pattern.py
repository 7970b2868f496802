"""The strumming pattern of a part where it is one: common enough to be written down, and how many bars have it."""

from __future__ import annotations

from listen.reading import Part, StrummingPattern

LEAST_SHARE = 0.4  # of the bars; rarer ones (20 to 33 %) were wrong on each of the few parts that were checked


def find_shown_pattern(part: Part) -> StrummingPattern | None:
    """Return the pattern that every chart of a part writes down; None where too few of its bars have it."""
    pattern = part.pattern
    if pattern is None or part.bars.metre is None or not pattern.strokes or pattern.share < LEAST_SHARE:
        return None
    return pattern


def pattern_words(pattern: StrummingPattern, legend: str) -> str:
    """Say how many of the bars in which something is struck go as a pattern goes, and what its signs mean.

    Bars are counted by their rhythm and the ways of the hand: one may have a bass or an accent of its own.

    Examples
    --------
    >>> pattern_words(StrummingPattern((), (1, 2, 4), 0.75), "↓ down")
    'Pattern, the rhythm of 3 of 4 bars: ↓ down'
    >>> pattern_words(StrummingPattern((), (1, 2, 3), 1.0), "↓ down")
    'Pattern, the rhythm of all 3 bars: ↓ down'
    """
    n_own = len(pattern.bars)
    n_all = max(n_own, round(n_own / pattern.share))
    return f"Pattern, the rhythm of {f'all {n_own}' if n_own == n_all else f'{n_own} of {n_all}'} bars: {legend}"
