"""The text of a chord symbol while it is read, and how far that has come."""

from __future__ import annotations

import re
from dataclasses import dataclass

from listen.theory.spelling import Note
from listen.theory.symbol_error import ChordSymbolError

_NOTE = re.compile(r"[A-G](?:𝄪#|𝄪♯|𝄪|𝄫b|𝄫♭|𝄫|#{1,3}|♯{1,3}|x#?|b{1,3}|♭{1,3})?")
ASCII = str.maketrans("♯♭−–△∆^º˚Ø⌀∅⁄⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁺⁻⁽⁾", "#b--ΔΔΔ°°øøø/01234567890123456789+-()")
"""Printed signs as the plain ones that the reader knows; one for one, so that places in the text stay."""


@dataclass(slots=True)
class SymbolText:
    """The text, and how far it has been read.

    Parameters
    ----------
    original : str
        As it was given, for errors.
    text : str
        The same with plain signs.
    position : int
    """

    original: str
    text: str
    position: int = 0

    @classmethod
    def begin(cls, original: str) -> SymbolText:
        """Begin to read a text."""
        return cls(original, original.rstrip().translate(ASCII))

    def is_done(self) -> bool:
        """Tell whether nothing is left."""
        return self.position >= len(self.text)

    @property
    def rest(self) -> str:
        """What is left."""
        return self.text[self.position :]

    def looks_at(self, start: str) -> bool:
        """Tell whether what is left begins so."""
        return self.text.startswith(start, self.position)

    def skip_spaces(self) -> None:
        """Go over spaces."""
        while self.text[self.position : self.position + 1].isspace():
            self.position += 1

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """Go over what the pattern matches here, if it does."""
        match = pattern.match(self.text, self.position)
        if match is not None:
            self.position = match.end()
        return match

    def take_text(self, start: str) -> bool:
        """Go over this text, if it stands here."""
        if not self.looks_at(start):
            return False
        self.position += len(start)
        return True

    def take_note(self, reason: str) -> Note:
        """Read a letter with its signs.

        Raises
        ------
        ChordSymbolError
            None stands here; it gives the reason.
        """
        match = self.take(_NOTE)
        if match is None:
            raise self.refuse(reason)
        return Note.parse(match.group())

    def refuse(self, reason: str = "") -> ChordSymbolError:
        """Return the error for what stands here."""
        return ChordSymbolError(self.original, self.position, reason)
