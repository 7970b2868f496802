"""Chord symbols read: root, quality, bass; Harte syntax; lists of degrees."""

from __future__ import annotations

import re

from listen.theory.chord import Chord
from listen.theory.degree_list import degrees_to_quality
from listen.theory.harte import parse_harte
from listen.theory.interval import Interval
from listen.theory.qualities import find_quality
from listen.theory.spelling import Note
from listen.theory.symbol_error import LONGEST_SYMBOL, ChordSymbolError
from listen.theory.symbol_quality import read_quality
from listen.theory.symbol_text import SymbolText

_DEGREE = re.compile(r"(?:bb|##|[b#])?(?:1[0-3]|[1-9])(?=[\s,]|$)")
_LISTED = re.compile(r"\((1(?:,(?:bb|##|[b#])?(?:1[0-3]|[1-9]))+)\)")


def read_symbol(text: str) -> Chord:
    """Read a symbol as :func:`listen.theory.symbol.parse_chord` does, without a word on what is near when it fails.

    Raises
    ------
    ChordSymbolError
    """
    if len(text) > LONGEST_SYMBOL:
        raise ChordSymbolError(text, LONGEST_SYMBOL, "no chord is written so long")
    reader = SymbolText.begin(text)
    reader.skip_spaces()
    if reader.is_done():
        raise ChordSymbolError(text, 0)
    root = reader.take_note("a chord begins with its root, a capital letter from A to G")
    if reader.looks_at(":") or (reader.looks_at(" ") and re.match(r"\s+1[\s,]+[b#]*\d", reader.rest)):
        return _parse_colon(reader, root)
    spoken = find_quality(reader.rest.strip().lower())
    if spoken is not None and spoken.name == reader.rest.strip().lower():
        return Chord(root, spoken)
    listed = reader.take(_LISTED)
    quality = read_quality(reader) if listed is None else degrees_to_quality(map(Interval.parse, listed[1].split(",")))
    bass: Note | None = None
    if reader.take_text("/"):
        reader.skip_spaces()
        bass = _read_bass(reader, root)
    if not reader.is_done():
        raise reader.refuse()
    return Chord(root, quality, None if bass is None or bass.pitch_class == root.pitch_class else bass)


def _read_bass(reader: SymbolText, root: Note) -> Note:
    degree = reader.take(_DEGREE)
    if degree is not None:
        return root.above(Interval.parse(degree.group()))
    return reader.take_note("after the slash comes the bass, a capital letter from A to G")


def _parse_colon(reader: SymbolText, root: Note) -> Chord:
    """Read what follows ``root:``, a list of degrees or the rest of a Harte label."""
    before = reader.position
    reader.take_text(":")
    reader.skip_spaces()
    start = reader.position
    tones: list[Interval] = []
    while (match := reader.take(_DEGREE)) is not None:
        tones.append(Interval.parse(match.group()))
        while reader.take_text(",") or reader.take_text(" "):
            pass
    is_begun = tones == [Interval(1)] and not reader.is_done() and reader.text[reader.position - 1] in ", "
    if len(tones) > 1 or is_begun or (tones and reader.text[start] in "b#"):
        if not reader.is_done():
            raise reader.refuse("degrees run from 1 to 13, lowered with b or raised with #")
        return Chord(root, degrees_to_quality(tones))
    reader.position = before
    return _parse_harte_rest(reader, root, ":" + reader.text[start:])


def _parse_harte_rest(reader: SymbolText, root: Note, rest: str) -> Chord:
    try:
        return parse_harte(f"{root}{rest}")
    except ChordSymbolError as error:
        reader.position = len(reader.text) - (len(f"{root}{rest}") - error.position)
        raise reader.refuse(error.reason) from None
