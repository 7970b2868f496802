"""The qualities that are asked for, written down apart from the program's own table.

Conventions: pitch classes 0..11 above the root; a *reading* is (root, tones above the root). A perfect fifth may be
missing, no other tone may (the benchmark's own rule, printed beside its figures).
"""

from __future__ import annotations

from functools import cache

# Semitones above the root: common practice (any harmony textbook), named by the suffixes of the open shape data.
QUALITIES: dict[str, tuple[int, ...]] = {
    "major": (0, 4, 7),
    "minor": (0, 3, 7),
    "dim": (0, 3, 6),
    "aug": (0, 4, 8),
    "sus2": (0, 2, 7),
    "sus4": (0, 5, 7),
    "6": (0, 4, 7, 9),
    "m6": (0, 3, 7, 9),
    "69": (0, 2, 4, 7, 9),
    "add9": (0, 2, 4, 7),
    "7": (0, 4, 7, 10),
    "maj7": (0, 4, 7, 11),
    "m7": (0, 3, 7, 10),
    "mmaj7": (0, 3, 7, 11),
    "m7b5": (0, 3, 6, 10),
    "dim7": (0, 3, 6, 9),
    "7sus4": (0, 5, 7, 10),
    "9": (0, 2, 4, 7, 10),
    "m9": (0, 2, 3, 7, 10),
    "maj9": (0, 2, 4, 7, 11),
    "7b9": (0, 1, 4, 7, 10),
    "7#9": (0, 3, 4, 7, 10),
}
POWER = (0, 7)
PERFECT_FIFTH = 7

Reading = tuple[int, frozenset[int]]


def explains(root: int, tones: frozenset[int], sounding: frozenset[int]) -> bool:
    """Tell whether a chord is what sounds: nothing unexplained, nothing missing but a perfect fifth.

    Examples
    --------
    >>> explains(0, frozenset({0, 4, 7, 10}), frozenset({0, 4, 10}))
    True
    >>> explains(0, frozenset({0, 4, 7}), frozenset({0, 7}))
    False
    """
    heard = frozenset((pitch_class - root) % 12 for pitch_class in sounding)
    missing = tones - heard
    return heard <= tones and (not missing or missing == {PERFECT_FIFTH})


@cache
def find_exact_readings(sounding: frozenset[int]) -> frozenset[Reading]:
    """Find every chord of the vocabulary that is exactly what sounds; with a fifth missing only if none is complete.

    Examples
    --------
    >>> sorted((root, sorted(tones)) for root, tones in find_exact_readings(frozenset({0, 4, 7, 9})))
    [(0, [0, 4, 7, 9]), (9, [0, 3, 7, 10])]
    """
    found = {
        (root, frozenset(tones))
        for tones in (*QUALITIES.values(), POWER)
        for root in sounding
        if explains(root, frozenset(tones), sounding)
    }
    complete = {(root, tones) for root, tones in found if len(tones) == len(sounding)}
    return frozenset(complete or found)
