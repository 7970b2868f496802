"""Chord symbols as the trade writes them: text in, a chord out.

Reads a root, a quality in any of its usual spellings (``Cm C- Cmi``, ``Cmaj7 CM7 CΔ7``, ``Cø``, ``C7(b9,#11)``,
``C(no3)``, ``C6/9``), a bass after a slash; Harte syntax (``C:min7/b3``); degree lists (``D: 1 3 6 9``). Accidentals
are ``#`` or ``♯``, ``b`` or ``♭``. A flat right after the root belongs to the root: ``Cb5`` is a power chord on C♭.
"""

from __future__ import annotations

from listen.theory.chord import Chord
from listen.theory.nearest_symbol import name_nearest_symbol
from listen.theory.symbol_error import ChordSymbolError
from listen.theory.symbol_habits import write_by_letter
from listen.theory.symbol_parser import read_symbol


def parse_chord(text: str) -> Chord:
    """Read a chord symbol, Harte syntax, or a root with degrees.

    Raises
    ------
    ChordSymbolError
        The text cannot be read: the error holds the position of the first bad character and, if one is near,
        a good symbol.

    Examples
    --------
    >>> [parse_chord(text).text for text in ("C-7", "CΔ7", "C°7", "C7(b9,#11)", "C6/9", "D/C", "C:min7/b3")]
    ['Cm7', 'Cmaj7', 'Cdim7', 'C7(b9,#11)', 'C6/9', 'D/C', 'Cm7/Eb']
    >>> parse_chord("F# 1 b3 5 b7").text, parse_chord("D: 1 3 6 9").text
    ('F#m7', 'D6/9(no5)')
    >>> parse_chord("Cm7y")
    Traceback (most recent call last):
    listen.theory.symbol_error.ChordSymbolError: chord=Cm7y cannot be read at character 4 ("y"). The nearest good ...
    """
    try:
        return read_symbol(text)
    except ChordSymbolError as error:
        raise ChordSymbolError(error.text, error.position, error.reason, name_nearest_symbol(text)) from None


def explain_reading(text: str) -> str:
    """Return what a symbol was read as that begins as a sung note name does; empty for every other one that is read.

    Examples
    --------
    >>> explain_reading("Do7"), explain_reading("C7")
    ('Do7 was read as Ddim7; where Do is the note, write C7.', '')
    """
    written = text.strip()
    meant = write_by_letter(written)
    if meant == written:
        return ""
    try:
        read, other = read_symbol(written), read_symbol(meant)
    except ChordSymbolError:
        return ""
    return f"{written} was read as {read.printed}; where Do is the note, write {other.text}."
