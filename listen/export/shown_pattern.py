"""The strumming pattern of a part where it is one: common enough to be written down, and how many bars have it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from listen.export.stroke_signs import picked_strings
from listen.instrument import Fretboard
from listen.reading import PICKED, Part, StrummingPattern


def find_shown_pattern(part: Part) -> StrummingPattern | None:
    """Return the pattern that every chart of a part writes down; None where too few of its bars have it."""
    pattern = part.pattern
    if pattern is None or part.bars.metre is None or not pattern.strokes or not pattern.is_usual:
        return None
    return pattern


def find_usual_strings(part: Part, pattern: StrummingPattern) -> Mapping[int, tuple[frozenset[int], ...]]:
    """Find the strings that are picked at steps of a pattern: a set of numbers for each, from the lowest string up.

    A set holds one string where more than half of the bars pick that, else the low ones where most pick one of these.
    """
    steps, bars = {stroke.step for stroke in pattern.strokes if stroke.kind in PICKED}, frozenset(pattern.bars)
    picked: dict[int, list[tuple[int, ...]]] = {}
    for event in part.events:
        for stroke in event.strokes:
            place = stroke.position
            if stroke.kind in PICKED and place is not None and place.step in steps and place.bar in bars:
                picked.setdefault(place.step, []).append(picked_strings(stroke, part.fretboard))
    usual = {}
    for step, found in picked.items():
        n_together = Counter(map(len, found)).most_common(1)[0][0]
        rows = zip(*(strings for strings in found if len(strings) == n_together), strict=True)
        usual[step] = tuple(_find_usual(row, part.fretboard) for row in rows)
    return usual


def _find_usual(numbers: Sequence[int], fretboard: Fretboard) -> frozenset[int]:
    number, n = Counter(numbers).most_common(1)[0]
    if 2 * n > len(numbers):
        return frozenset({number})
    low = [number for number in numbers if fretboard.is_low_string(fretboard.n_strings - number)]
    return frozenset(low if 2 * len(low) > len(numbers) else numbers)


def pattern_words(pattern: StrummingPattern, legend: str) -> str:
    """Say how many of the bars in which something is struck go as a pattern goes, and what its signs mean.

    Bars are counted by their rhythm and the ways of the hand: one may have a bass or an accent of its own.

    Examples
    --------
    >>> pattern_words(StrummingPattern((), (1, 2, 4), 0.75), "↓ down")
    'Pattern, the rhythm of 3 of 4 bars: ↓ down'
    >>> pattern_words(StrummingPattern((), (1, 2, 3), 1.0), "↓ down")
    'Pattern, the rhythm of all 3 bars: ↓ down'
    >>> pattern_words(StrummingPattern((), (1, 2, 4), 0.375, (3, 5)), "↓ down")
    'Pattern, the rhythm of 3 of 8 bars and nearly that of 2 more: ↓ down'
    """
    n_own, n_all = len(pattern.bars), pattern.n_bars
    bars = f"all {n_own}" if n_own == n_all else f"{n_own} of {n_all}"
    more = f" and nearly that of {len(pattern.nearly)} more" if pattern.nearly else ""
    return f"Pattern, the rhythm of {bars} bars{more}: {legend}"
