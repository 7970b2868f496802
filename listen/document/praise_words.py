"""What was done well, in words, and how it is read back from them."""

from __future__ import annotations

import re

from listen.reading import (
    ChangesInTime,
    ChordAlwaysRight,
    EveryBarRight,
    GuitarInTune,
    Praise,
    RowOfBarsRight,
    SomeBarsRight,
)

_IN_TIME, _IN_TUNE = "The changes come in time, without a stop.", "The guitar is in tune."
_ONLY = "The bar is right."
_WHOLE: dict[str, Praise] = {_IN_TIME: ChangesInTime(), _IN_TUNE: GuitarInTune(), _ONLY: EveryBarRight(1)}
_N = r"(\d{1,6})"
_EVERY = re.compile(rf"Every one of the {_N} bars is right\.")
_ROW = re.compile(rf"Bars {_N} to {_N} are right, one after another\.")
_SOME = re.compile(rf"{_N} of {_N} bars (?:is|are) right\.")
_CHORD = re.compile(r"(\S+) is right every time\.")


def praise_words(one: Praise | str) -> str:
    """Return what was done well, as a sentence.

    Examples
    --------
    >>> praise_words(RowOfBarsRight(3, 8))
    'Bars 3 to 8 are right, one after another.'
    """
    match one:
        case EveryBarRight(n_bars):
            words = _ONLY if n_bars == 1 else f"Every one of the {n_bars} bars is right."
        case RowOfBarsRight(first, last):
            words = f"Bars {first} to {last} are right, one after another."
        case SomeBarsRight(n_right, n_bars):
            words = f"{n_right} of {n_bars} bars {'is' if n_right == 1 else 'are'} right."
        case ChordAlwaysRight(symbol):
            words = f"{symbol} is right every time."
        case ChangesInTime():
            words = _IN_TIME
        case GuitarInTune():
            words = _IN_TUNE
        case str():
            words = one
    return words


def parse_praise(words: str) -> Praise | str:
    """Take what was done well from its words; other words stay.

    Examples
    --------
    >>> parse_praise("7 of 8 bars are right."), parse_praise("Well done.")
    (SomeBarsRight(n_right=7, n_bars=8), 'Well done.')
    """
    if words in _WHOLE:
        return _WHOLE[words]
    if found := _EVERY.fullmatch(words):
        return EveryBarRight(int(found[1]))
    if found := _ROW.fullmatch(words):
        return RowOfBarsRight(int(found[1]), int(found[2]))
    if found := _SOME.fullmatch(words):
        return SomeBarsRight(int(found[1]), int(found[2]))
    found = _CHORD.fullmatch(words)
    return ChordAlwaysRight(found[1]) if found else words
