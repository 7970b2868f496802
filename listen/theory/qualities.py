"""The chord qualities: one table.

Conventions: tones are degrees over the root (``b3`` the minor third, ``9`` the major second an octave up). Which of
them may be left out follows from the rules of :mod:`listen.theory.optional_tones`; the root goes only in a rootless
reading, which is named as such.

The Harte column uses the shorthands of Harte et al. (2005), table 1, and a degree list where it has none.

References
----------
C. Harte, M. Sandler, S. Abdallah, E. Gómez, Symbolic representation of musical chords: a proposed syntax for text
annotations, ISMIR 2005.
"""

from __future__ import annotations

from collections.abc import Iterable

from listen.theory.chord import ChordQuality
from listen.theory.interval import Interval
from listen.theory.optional_tones import find_optional

# name, symbol, Harte, tones
_TABLE = """
major                                       |               | maj                | 1 3 5
minor                                       | m             | min                | 1 b3 5
diminished                                  | dim           | dim                | 1 b3 b5
augmented                                   | aug           | aug                | 1 3 #5
suspended fourth                            | sus4          | sus4               | 1 4 5
suspended second                            | sus2          | (1,2,5)            | 1 2 5
suspended sharp fourth                      | sus#4         | (1,#4,5)           | 1 #4 5
suspended flat second                       | susb2         | (1,b2,5)           | 1 b2 5
major flat fifth                            | (b5)          | (1,3,b5)           | 1 3 b5
suspended second and fourth                 | sus2sus4      | (1,2,4,5)          | 1 2 4 5
power chord                                 | 5             | (1,5)              | 1 5
minor second                                | (1,b2)        | (1,b2)             | 1 b2
major second                                | (1,2)         | (1,2)              | 1 2
minor third                                 | m(no5)        | (1,b3)             | 1 b3
major third                                 | (no5)         | (1,3)              | 1 3
perfect fourth                              | (1,4)         | (1,4)              | 1 4
tritone                                     | (1,b5)        | (1,b5)             | 1 b5
minor sixth (interval)                      | (1,b6)        | (1,b6)             | 1 b6
major sixth (interval)                      | (1,6)         | (1,6)              | 1 6
minor seventh (interval)                    | (1,b7)        | (1,b7)             | 1 b7
major seventh (interval)                    | (1,7)         | (1,7)              | 1 7
sixth                                       | 6             | maj6               | 1 3 5 6
minor sixth                                 | m6            | min6               | 1 b3 5 6
sixth suspended fourth                      | 6sus4         | sus4(6)            | 1 4 5 6
six-nine                                    | 6/9           | maj6(9)            | 1 3 5 6 9
minor six-nine                              | m6/9          | min6(9)            | 1 b3 5 6 9
added ninth                                 | add9          | maj(9)             | 1 3 5 9
minor added ninth                           | m(add9)       | min(9)             | 1 b3 5 9
added flat ninth                            | (addb9)       | maj(b9)            | 1 3 5 b9
added eleventh                              | add11         | maj(11)            | 1 3 5 11
minor added eleventh                        | m(add11)      | min(11)            | 1 b3 5 11
added sharp eleventh                        | (add#11)      | maj(#11)           | 1 3 5 #11
dominant seventh                            | 7             | 7                  | 1 3 5 b7
major seventh                               | maj7          | maj7               | 1 3 5 7
minor seventh                               | m7            | min7               | 1 b3 5 b7
minor major seventh                         | m(maj7)       | minmaj7            | 1 b3 5 7
half-diminished seventh                     | m7b5          | hdim7              | 1 b3 b5 b7
diminished seventh                          | dim7          | dim7               | 1 b3 b5 bb7
diminished major seventh                    | dim(maj7)     | dim(7)             | 1 b3 b5 7
seventh flat fifth                          | 7b5           | (1,3,b5,b7)        | 1 3 b5 b7
augmented seventh                           | 7#5           | aug(b7)            | 1 3 #5 b7
major seventh flat fifth                    | maj7b5        | (1,3,b5,7)         | 1 3 b5 7
augmented major seventh                     | maj7#5        | aug(7)             | 1 3 #5 7
minor seventh sharp fifth                   | m7#5          | (1,b3,#5,b7)       | 1 b3 #5 b7
seventh suspended fourth                    | 7sus4         | sus4(b7)           | 1 4 5 b7
seventh suspended second                    | 7sus2         | (1,2,5,b7)         | 1 2 5 b7
major seventh suspended fourth              | maj7sus4      | sus4(7)            | 1 4 5 7
major seventh suspended second              | maj7sus2      | (1,2,5,7)          | 1 2 5 7
seventh added eleventh                      | 7(add11)      | 7(11)              | 1 3 5 b7 11
major seventh added eleventh                | maj7(add11)   | maj7(11)           | 1 3 5 7 11
minor seventh added eleventh                | m7(add11)     | min7(11)           | 1 b3 5 b7 11
dominant ninth                              | 9             | 9                  | 1 3 5 b7 9
major ninth                                 | maj9          | maj9               | 1 3 5 7 9
minor ninth                                 | m9            | min9               | 1 b3 5 b7 9
minor major ninth                           | m(maj9)       | minmaj7(9)         | 1 b3 5 7 9
minor ninth flat fifth                      | m9b5          | hdim7(9)           | 1 b3 b5 b7 9
ninth suspended fourth                      | 9sus4         | sus4(b7,9)         | 1 4 5 b7 9
seventh flat ninth suspended fourth         | 7b9sus4       | sus4(b7,b9)        | 1 4 5 b7 b9
seventh flat ninth                          | 7b9           | 7(b9)              | 1 3 5 b7 b9
seventh sharp ninth                         | 7#9           | 7(#9)              | 1 3 5 b7 #9
minor seventh flat ninth                    | m7b9          | min7(b9)           | 1 b3 5 b7 b9
ninth flat fifth                            | 9b5           | (1,3,b5,b7,9)      | 1 3 b5 b7 9
augmented ninth                             | 9#5           | aug(b7,9)          | 1 3 #5 b7 9
seventh flat fifth flat ninth               | 7(b5,b9)      | (1,3,b5,b7,b9)     | 1 3 b5 b7 b9
seventh flat fifth sharp ninth              | 7(b5,#9)      | (1,3,b5,b7,#9)     | 1 3 b5 b7 #9
seventh sharp fifth flat ninth              | 7(#5,b9)      | aug(b7,b9)         | 1 3 #5 b7 b9
seventh sharp fifth sharp ninth             | 7(#5,#9)      | aug(b7,#9)         | 1 3 #5 b7 #9
augmented major ninth                       | maj9#5        | aug(7,9)           | 1 3 #5 7 9
seventh sharp eleventh                      | 7#11          | 7(#11)             | 1 3 5 b7 #11
major seventh sharp eleventh                | maj7#11       | maj7(#11)          | 1 3 5 7 #11
ninth sharp eleventh                        | 9#11          | 9(#11)             | 1 3 5 b7 9 #11
major ninth sharp eleventh                  | maj9#11       | maj9(#11)          | 1 3 5 7 9 #11
seventh flat ninth sharp eleventh           | 7(b9,#11)     | 7(b9,#11)          | 1 3 5 b7 b9 #11
seventh sharp ninth sharp eleventh          | 7(#9,#11)     | 7(#9,#11)          | 1 3 5 b7 #9 #11
eleventh                                    | 11            | 9(11)              | 1 3 5 b7 9 11
major eleventh                              | maj11         | maj9(11)           | 1 3 5 7 9 11
minor eleventh                              | m11           | min9(11)           | 1 b3 5 b7 9 11
minor major eleventh                        | m(maj11)      | minmaj7(9,11)      | 1 b3 5 7 9 11
minor eleventh flat fifth                   | m11b5         | hdim7(9,11)        | 1 b3 b5 b7 9 11
thirteenth                                  | 13            | 9(11,13)           | 1 3 5 b7 9 11 13
major thirteenth                            | maj13         | maj9(11,13)        | 1 3 5 7 9 11 13
minor thirteenth                            | m13           | min9(11,13)        | 1 b3 5 b7 9 11 13
thirteenth suspended fourth                 | 13sus4        | sus4(b7,9,13)      | 1 4 5 b7 9 13
thirteenth flat ninth                       | 13b9          | 7(b9,11,13)        | 1 3 5 b7 b9 11 13
thirteenth sharp ninth                      | 13#9          | 7(#9,11,13)        | 1 3 5 b7 #9 11 13
thirteenth sharp eleventh                   | 13#11         | 9(#11,13)          | 1 3 5 b7 9 #11 13
major thirteenth sharp eleventh             | maj13#11      | maj9(#11,13)       | 1 3 5 7 9 #11 13
seventh flat thirteenth                     | 7b13          | 7(b13)             | 1 3 5 b7 b13
ninth flat thirteenth                       | 9b13          | 9(b13)             | 1 3 5 b7 9 b13
seventh flat ninth flat thirteenth          | 7(b9,b13)     | 7(b9,b13)          | 1 3 5 b7 b9 b13
"""
_ALTERED_MEMBERS = ("7(#5,#9)", "7(#5,b9)", "7(b5,#9)", "7(b5,b9)")


def _read_degrees(text: str) -> tuple[Interval, ...]:
    return tuple(Interval.parse(degree) for degree in text.split())


def _read_table(table: str) -> tuple[ChordQuality, ...]:
    rows = (tuple(cell.strip() for cell in line.split("|")) for line in table.strip().splitlines())
    return tuple(
        ChordQuality(name, symbol, harte, _read_degrees(tones), find_optional(_read_degrees(tones)))
        for name, symbol, harte, tones in rows
    )


def tone_key(tones: Iterable[Interval]) -> int:
    """Return what makes two lists of tones the same chord: the letters and their alterations, whatever the octave.

    Returns
    -------
    int
        A set of bits, five for each letter, so that keys can be compared, joined and taken from one another quickly.

    Examples
    --------
    >>> tone_key(_read_degrees("1 3 5 9")) == tone_key(_read_degrees("1 2 3 5"))
    True
    """
    key = 0
    for tone in tones:
        key |= 1 << (5 * ((tone.degree - 1) % 7) + tone.alteration + 2)
    return key


_PLAIN = _read_table(_TABLE)
_BY_SYMBOL = {quality.symbol: quality for quality in _PLAIN}
_BY_KEY = {tone_key(quality.tones): quality for quality in _PLAIN}

ALTERED = ChordQuality(
    "altered seventh",
    "7alt",
    "aug(b7,#9)",
    _BY_SYMBOL["7(#5,#9)"].tones,
    members=tuple(_BY_SYMBOL[symbol] for symbol in _ALTERED_MEMBERS),
)
QUALITIES: tuple[ChordQuality, ...] = (*_PLAIN, ALTERED)
_BY_SYMBOL[ALTERED.symbol] = ALTERED
_BY_NAME = {quality.name: quality for quality in QUALITIES}


def find_quality(symbol: str) -> ChordQuality | None:
    """Return the quality printed with a symbol, or called by a name in words; None where there is none.

    Examples
    --------
    >>> find_quality("m7b5").name, find_quality("minor seventh").symbol, find_quality("m99")
    ('half-diminished seventh', 'm7', None)
    """
    return _BY_SYMBOL.get(symbol) or _BY_NAME.get(symbol)


def find_quality_of_tones(tones: Iterable[Interval]) -> ChordQuality | None:
    """Return the named quality that has exactly these tones; None where there is none.

    A second and a ninth, a fourth and an eleventh, a sixth and a thirteenth count as the same tone.

    Examples
    --------
    >>> find_quality_of_tones((Interval(1), Interval(3, -1), Interval(5), Interval(7, -1))).symbol
    'm7'
    """
    return _BY_KEY.get(tone_key(tones))
