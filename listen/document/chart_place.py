"""A place in a chart, which knows its line and column."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from listen.errors import DocumentError, ListenError
from listen.instrument import Fretboard, Shape, parse_shape
from listen.reading import ANYTHING, NO_CHORD
from listen.theory import Chord, parse_chord

_SHOWN = 24


@dataclass(frozen=True, slots=True)
class ChartPlace:
    """Some text of a chart and where it stands.

    Parameters
    ----------
    name : str
        Of the chart.
    line, column : int
        From 1, of its first character.
    text : str
    """

    name: str
    line: int
    column: int
    text: str

    @property
    def shown(self) -> str:
        """The text, short enough for a sentence."""
        return self.text if len(self.text) <= _SHOWN else f"{self.text[:_SHOWN]}…"

    def refuse(self, reason: str) -> DocumentError:
        """Make the error for this place."""
        return DocumentError(f"{self.name}, line {self.line}, column {self.column}: {reason}")

    @contextmanager
    def explained(self) -> Iterator[None]:
        """Say where it is of an error that does not know."""
        try:
            yield
        except DocumentError:
            raise
        except ListenError as error:
            raise self.refuse(str(error)) from error

    def after(self, n_characters: int) -> ChartPlace:
        """Return what stands from a character on, spaces left out."""
        return ChartPlace(self.name, self.line, self.column + n_characters, self.text[n_characters:]).stripped()

    def stripped(self) -> ChartPlace:
        """Return it without the spaces around it."""
        lead = len(self.text) - len(self.text.lstrip())
        return ChartPlace(self.name, self.line, self.column + lead, self.text.strip())

    def words(self) -> list[ChartPlace]:
        """Return its words, each with its own column."""
        return [
            ChartPlace(self.name, self.line, self.column + match.start(), match.group())
            for match in re.finditer(r"\S+", self.text)
        ]

    def read_symbol(self, board: Fretboard) -> tuple[str, Chord | None, Shape | None]:
        """Read what can stand in a bar: a chord, frets, no chord, or anything.

        Returns
        -------
        symbol : str
            As it is written.
        chord : Chord or None
        shape : Shape or None
        """
        if self.text == ANYTHING:
            return ANYTHING, None, None
        if re.fullmatch(r"n\.?\s?c\.?", self.text, re.IGNORECASE):
            return NO_CHORD, None, None
        with self.explained():
            if re.match(r"[\dxX×]", self.text):
                shape = parse_shape(self.text, fretboard=board)
                return shape.text, None, shape
            chord = parse_chord(self.text)
            return chord.text, chord, None
