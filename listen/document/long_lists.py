"""Long lists of a document, each item parsed when it is asked for: an hour's part as values would take half a gigabyte.

Conventions: the text is UTF-8 read as Latin-1, a letter a byte: JSON's own signs are the same in both, and what stands
between quotes is decoded item by item. So a sharp sign somewhere does not double what the text takes.
"""

from __future__ import annotations

import codecs
import json
import re
from array import array
from collections.abc import Iterator, Sequence
from typing import Any, overload

LEAST_BYTES = 4 * 1024 * 1024
"""Of a text whose lists are worth it: parsing twice costs 10 ms a megabyte."""
SHORT_BYTES = 64 * 1024
"""A list shorter than this is parsed at once."""
_CHECKED_AT_ONCE = 1024 * 1024
_SPACE = re.compile(r"[ \t\n\r]*")
_DECODER = json.JSONDecoder()


class LongList(Sequence[Any]):
    """A list of which only the places of the items are kept.

    Parameters
    ----------
    text : str
        Of the whole document, a letter a byte.
    places : array of int
        Where each item begins and ends, in turn.
    """

    __slots__ = ("_places", "_text")

    def __init__(self, text: str, places: array[int]) -> None:
        self._text, self._places = text, places

    def __len__(self) -> int:
        return len(self._places) // 2

    @overload
    def __getitem__(self, place: int) -> Any: ...

    @overload
    def __getitem__(self, place: slice) -> list[Any]: ...

    def __getitem__(self, place: int | slice) -> Any:
        if isinstance(place, slice):
            return [self[each] for each in range(*place.indices(len(self)))]
        at = range(len(self))[place]
        return _parse(self._text, self._places[2 * at], self._places[2 * at + 1])

    def __iter__(self) -> Iterator[Any]:
        return (self[place] for place in range(len(self)))


def parse_long(raw: bytes) -> Any:
    """Parse JSON text; where it is one long object, its lists become :class:`LongList`.

    Raises
    ------
    UnicodeDecodeError, json.JSONDecodeError, ValueError, RecursionError
        As :func:`json.loads` does; a column counts bytes.

    Examples
    --------
    >>> document = parse_long(b'{"name": "x", "strums": [' + b"{}, " * 20_000 + b"2]}")
    >>> document["name"], type(document["strums"]).__name__, len(document["strums"]), document["strums"][-1]
    ('x', 'LongList', 20001, 2)
    """
    raw = raw.removeprefix(codecs.BOM_UTF8)  # some editors put one first
    decoder = codecs.getincrementaldecoder("utf-8")()
    for start in range(0, len(raw), _CHECKED_AT_ONCE):
        decoder.decode(raw[start : start + _CHECKED_AT_ONCE], final=start + _CHECKED_AT_ONCE >= len(raw))
    text = raw.decode("latin-1")
    del raw
    start = _skip(text, 0)
    if text[start : start + 1] != "{":
        return _parse(text, 0, len(text))
    document: dict[str, Any] = {}
    at = _skip(text, start + 1)
    if text[at : at + 1] != "}":
        at = _read_fields(text, at, document)
    end = _skip(text, at + 1)
    if end != len(text):
        raise json.JSONDecodeError("Extra data", text, end)
    return document


def _read_fields(text: str, at: int, document: dict[str, Any]) -> int:
    """Read the fields of the object; return where its closing brace stands."""
    while True:
        if text[at : at + 1] != '"':
            raise json.JSONDecodeError("Expecting property name enclosed in double quotes", text, at)
        end = _DECODER.raw_decode(text, at)[1]
        key = _parse(text, at, end)
        at = _skip(text, end)
        if text[at : at + 1] != ":":
            raise json.JSONDecodeError("Expecting ':' delimiter", text, at)
        at = _skip(text, at + 1)
        if text[at : at + 1] == "[":
            places = _find_items(text, at)
            end = places.pop()
            document[key] = _parse(text, at, end) if end - at < SHORT_BYTES else LongList(text, places)
        else:
            end = _DECODER.raw_decode(text, at)[1]
            document[key] = _parse(text, at, end)
        at = _skip(text, end)
        if text[at : at + 1] == "}":
            return at
        at = _skip_comma(text, at)


def _find_items(text: str, at: int) -> array[int]:
    """Return where the items of a list begin and end, and then where the list ends."""
    places = array("q")
    at = _skip(text, at + 1)
    while text[at : at + 1] != "]" or places:
        places.append(at)
        places.append(_DECODER.raw_decode(text, at)[1])
        at = _skip(text, places[-1])
        if text[at : at + 1] == "]":
            break
        at = _skip_comma(text, at)
    places.append(at + 1)
    return places


def _skip(text: str, at: int) -> int:
    found = _SPACE.match(text, at)
    return at if found is None else found.end()


def _skip_comma(text: str, at: int) -> int:
    if text[at : at + 1] != ",":
        raise json.JSONDecodeError("Expecting ',' delimiter", text, at)
    return _skip(text, at + 1)


def _parse(text: str, start: int, end: int) -> Any:
    return json.loads(text[start:end].encode("latin-1").decode("utf-8"))
