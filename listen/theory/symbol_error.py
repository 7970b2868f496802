"""The error for a chord symbol that cannot be read: where it went wrong, and the nearest good symbol."""

from __future__ import annotations

import difflib
import re

from listen.errors import BadValueError
from listen.theory.qualities import QUALITIES

LONGEST_SYMBOL = 120  # characters; the longest symbol of the table with a bass takes 24
_ALIASES = ("min", "maj", "-", "M7", "mi7", "ma7", "+", "sus", "69", "°7", "ø", "7alt", "(no3)", "(no5)")
_SHOWN = 40


class ChordSymbolError(BadValueError):
    """A chord symbol that cannot be read.

    Parameters
    ----------
    text : str
        What was given.
    position : int
        Index, from 0, of the first character that could not be read.
    nearest : str
        A symbol near to it that can be read.
    reason : str
        What was wrong there.
    """

    def __init__(self, text: str, position: int, nearest: str, reason: str = "") -> None:
        self.text = text
        self.position = position
        self.nearest = nearest
        self.reason = reason
        super().__init__(text, position, nearest, reason)

    def __str__(self) -> str:
        if not self.text.strip():
            return f"chord is empty: write a root and a quality, such as {self.nearest}."
        shown = self.text if len(self.text) <= _SHOWN else f"{self.text[: _SHOWN - 3]}..."
        if self.position < len(self.text):
            rest = self.text[self.position :]
            at = f'at character {self.position + 1} ("{rest if len(rest) <= 10 else f"{rest[:10]}..."}")'
        else:
            at = f"after character {len(self.text)}, where something is missing"
        because = f": {self.reason}" if self.reason else ""
        return f"chord={shown} cannot be read {at}{because}. The nearest good symbol is {self.nearest}."


def name_nearest_symbol(text: str) -> str:
    """Return a readable chord symbol near to one that is not.

    Examples
    --------
    >>> name_nearest_symbol("Bbmajj7"), name_nearest_symbol("am7"), name_nearest_symbol("H7"), name_nearest_symbol("")
    ('Bbmaj7', 'Am7', 'B7', 'Cmaj7')
    """
    start = text.strip()[:32].replace("♯", "#").replace("♭", "b").replace("H", "B")
    match = re.match(r"[A-Ga-g](?:##|bb|#|b)?", start)
    if match is None:
        return "Cmaj7"
    root = match.group()[0].upper() + match.group()[1:]
    rest = start[match.end() :].lstrip(" :").partition("/")[0]
    good = [*(quality.symbol for quality in QUALITIES), *_ALIASES]
    near = difflib.get_close_matches(rest, good, n=1, cutoff=0.34)
    return root + (near[0] if near else "")
