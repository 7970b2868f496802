"""A place in a parsed document, which knows how to say where it is.

Documents are edited by hand. Whatever is wrong with one, the reader is told in one sentence where: every value is
fetched through a :class:`Cursor`, which carries its own address in a player's words ("strum 12, shape 1, string 3").

Here, too, stand the bounds that hold for every number, text and list of every document; a field may have narrower ones.
Nothing behind them meets a number of four hundred digits or a text of a megabyte.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple, TypeVar

from listen.document.long_lists import LongList
from listen.errors import DocumentError, ListenError

Choice = TypeVar("Choice", bound=str)

LARGEST = 1e9
"""No second, cent, millimetre, fret, number of an event or cost of a part comes near it."""
LONGEST_TEXT = 4000
"""Letters; the longest that this program writes, a warning, has some 300."""
LONGEST_NAME = 255
"""Letters of a file's name: what file systems allow (POSIX.1-2017 names 255 bytes, NTFS as many UTF-16 units)."""
MOST_ITEMS = 1_000_000
"""Of one list: an hour of strums has 20,000 events."""


class Cursor(NamedTuple):
    """A value of a document and its address; a named tuple, because an hour of strums makes a million of them.

    Parameters
    ----------
    value : object
        As parsed from JSON.
    name : str
        Of the document.
    address : tuple of str
        From the outside in; empty at the top.

    Examples
    --------
    >>> Cursor({"strums": [{"kind": "waltz"}]}, "part.json").each("strums", "strum")[0].choice("kind", ("strum", "hit"))
    Traceback (most recent call last):
    listen.errors.DocumentError: part.json, strum 1: kind is "waltz", but it must be one of strum, hit.
    """

    value: Any
    name: str
    address: tuple[str, ...] = ()

    def refuse(self, reason: str) -> DocumentError:
        """Make the error for this place."""
        where = ", ".join((self.name, *(label.replace("_", " ") for label in self.address)))
        return DocumentError(f"{where}: {reason}")

    def explain(self, error: ListenError) -> DocumentError:
        """Make the error for this place from one that does not know where it is; one that does goes on as it is."""
        return error if isinstance(error, DocumentError) else self.refuse(str(error))

    def at(self, key: str, label: str = "") -> Cursor:
        """Return a field that must be there."""
        if not isinstance(self.value, dict):
            raise self.refuse("an object in braces is needed here.")
        if key not in self.value:
            raise self.refuse(f'"{key}" is missing.')
        return Cursor(self.value[key], self.name, (*self.address, label or key))

    def maybe(self, key: str) -> Cursor | None:
        """Return a field, or None where it is missing or null."""
        if isinstance(self.value, dict) and self.value.get(key) is None:
            return None
        return self.at(key)

    def items(self, noun: str) -> Iterator[Cursor]:
        """Go through a list; each item is addressed by a noun and its number, and the list itself is not."""
        if not isinstance(self.value, (list, LongList)):
            raise self.refuse("a list in brackets is needed here.")
        if len(self.value) > MOST_ITEMS:
            raise self.refuse(f"it has {len(self.value)} entries; more than {MOST_ITEMS} are no document of ours.")
        outside = self.address[:-1]
        for number, value in enumerate(self.value, start=1):
            yield Cursor(value, self.name, (*outside, f"{noun} {number}"))

    def each(self, key: str, noun: str) -> list[Cursor]:
        """Return the items of a list that may be missing."""
        found = self.maybe(key)
        return [] if found is None else list(found.items(noun))

    def as_text(self, longest: int = LONGEST_TEXT) -> str:
        """Return the value as text of a bounded length."""
        if not isinstance(self.value, str):
            raise self.refuse(f"{_shown(self.value)} is no text.")
        if len(self.value) > longest:
            raise self.refuse(f"{_shown(self.value)} has {len(self.value)} letters; it takes {longest} at most.")
        if not self.value.isascii() and any("\ud800" <= sign <= "\udfff" for sign in self.value):
            raise self.refuse(f"{_shown(self.value)} holds half of a sign (a lone surrogate); write it anew.")
        return self.value

    def as_number(self, low: float = -LARGEST, high: float = LARGEST) -> float:
        """Return the value as a finite number within bounds."""
        value = self.value
        is_whole = isinstance(value, int) and not isinstance(value, bool)
        if not (is_whole or (isinstance(value, float) and math.isfinite(value))):
            raise self.refuse(f"{_shown(value)} is no number.")
        if not low <= value <= high:
            raise self.refuse(f"{_shown(value)} is not possible: it takes {_bounds(low, high)}.")
        return float(value)

    def as_integer(self, low: float = -LARGEST, high: float = LARGEST) -> int:
        """Return the value as a whole number within bounds."""
        if isinstance(self.value, bool) or not isinstance(self.value, int):
            raise self.refuse(f"{_shown(self.value)} is no whole number.")
        self.as_number(low, high)
        return self.value

    def as_flag(self) -> bool:
        """Return the value as true or false."""
        if not isinstance(self.value, bool):
            raise self.refuse(f"{_shown(self.value)} is neither true nor false.")
        return self.value

    def outside(self) -> Cursor:
        """Return the address of what is around this field, for an error that names the field itself."""
        return Cursor(self.value, self.name, self.address[:-1])

    def as_choice(self, allowed: tuple[Choice, ...]) -> Choice:
        """Return a field's value as one of a few words."""
        text, key = self.as_text(), self.address[-1].replace("_", " ")
        for word in allowed:
            if word == text:
                return word
        raise self.outside().refuse(f"{key} is {_shown(text)}, but it must be one of {', '.join(allowed)}.")

    def as_choices(self, allowed: tuple[Choice, ...]) -> tuple[Choice, ...]:
        """Return a list of words, each one of a few."""
        key = self.address[-1]
        texts = [item.as_text() for item in self.items(key)]
        for text in texts:
            if text not in allowed:
                raise self.outside().refuse(f"{_shown(text)} is no {key.rstrip('s')}; known are {', '.join(allowed)}.")
        return tuple(word for text in texts for word in allowed if word == text)

    def text(self, key: str, default: str | None = None, *, longest: int = LONGEST_TEXT) -> str:
        """Return a field as text."""
        found = self.maybe(key) if default is not None else self.at(key)
        return default or "" if found is None else found.as_text(longest)

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts that may be missing."""
        return tuple(item.as_text() for item in self.each(key, key))

    def number(self, key: str, low: float = -LARGEST, high: float = LARGEST, *, default: float | None = None) -> float:
        """Return a field as a number."""
        found = self.maybe(key) if default is not None else self.at(key)
        return default if found is None and default is not None else (found or self).as_number(low, high)

    def numbers(self, key: str, low: float = -LARGEST, high: float = LARGEST) -> tuple[float, ...]:
        """Return a list of numbers that may be missing."""
        return tuple(item.as_number(low, high) for item in self.each(key, key))

    def integer(self, key: str, low: float = -LARGEST, high: float = LARGEST, *, default: int | None = None) -> int:
        """Return a field as a whole number."""
        found = self.maybe(key) if default is not None else self.at(key)
        return default if found is None and default is not None else (found or self).as_integer(low, high)

    def flag(self, key: str, *, default: bool) -> bool:
        """Return a field as true or false."""
        found = self.maybe(key)
        return default if found is None else found.as_flag()

    def choice(self, key: str, allowed: tuple[Choice, ...]) -> Choice:
        """Return a field as one of a few words."""
        return self.at(key).as_choice(allowed)

    def choices(self, key: str, allowed: tuple[Choice, ...]) -> tuple[Choice, ...]:
        """Return a list of words, each one of a few; it may be missing."""
        found = self.maybe(key)
        return () if found is None else found.as_choices(allowed)


def _shown(value: object) -> str:
    text = f'"{value[:40]}"' if isinstance(value, str) else "null" if value is None else repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


def _bounds(low: float, high: float) -> str:
    if high >= LARGEST > low > -LARGEST:
        return f"{low:g} or more"
    return f"{high:g} or less" if low <= -LARGEST else f"{low:g} to {high:g}"
