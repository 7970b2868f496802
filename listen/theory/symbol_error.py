"""The error for a chord symbol that cannot be read: where it went wrong, why, and the nearest good symbol if one is."""

from __future__ import annotations

from listen.errors import BadValueError
from listen.theory.symbol_habits import explain_habit

LONGEST_SYMBOL = 120  # characters; the longest symbol of the table with a bass takes 24
_SHOWN = 40


class ChordSymbolError(BadValueError):
    """A chord symbol that cannot be read.

    Parameters
    ----------
    text : str
        What was given.
    position : int
        Index, from 0, of the first character that could not be read.
    reason : str
        What was wrong there; a habit of writing that is known goes before it.
    nearest : str
        A symbol near to it that can be read; empty where none is near.
    """

    def __init__(self, text: str, position: int, reason: str = "", nearest: str = "") -> None:
        self.text = text
        self.position = position
        self.reason = explain_habit(text, position) or reason
        self.nearest = nearest
        super().__init__(text, position, reason, nearest)

    def __str__(self) -> str:
        if not self.text.strip():
            return "chord is empty: write a root and a quality, such as Cmaj7."
        shown = self.text if len(self.text) <= _SHOWN else f"{self.text[: _SHOWN - 3]}..."
        if self.position < len(self.text):
            rest = self.text[self.position :]
            at = f'at character {self.position + 1} ("{rest if len(rest) <= 10 else f"{rest[:10]}..."}")'
        else:
            at = f"after character {len(self.text)}, where something is missing"
        because = f": {self.reason}" if self.reason else ""
        near = f" The nearest good symbol is {self.nearest}." if self.nearest else ""
        return f"chord={shown} cannot be read {at}{because}.{near}"
