"""How text may look where it is printed: which signs, which width, and whether colour is welcome.

Weight is an extra: whatever it says is also said by a form or a word. It is used on a terminal only, and never
when ``NO_COLOR`` is set (https://no-color.org, an informal standard) or the terminal says it is dumb.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Weight = Literal["plain", "strong", "faint"]
GAP = 3  # columns between blocks that lie side by side
_CODES: dict[Weight, str] = {"plain": "", "strong": "1", "faint": "2"}  # no colour: it holds on a ground of any
_ESCAPE = re.compile(r"\x1b\[[0-9;]*m")
_ASCII_SIGNS = {
    "♯": "#", "♭": "b", "–": "-", "—": "-", "·": "-", "×": "x", "…": "...", "½": "1/2", "≥": ">=", "≤": "<=",
    "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "−": "-", "’": "'", "°": " deg", "Δ": "maj", "ø": "m7b5",
    "→": "->", "♩": "tempo", "±": "+-", "•": "*",
} | dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789", strict=True))  # fmt: skip


@dataclass(frozen=True, slots=True)
class TextStyle:
    """What the place that is printed to can show.

    Parameters
    ----------
    unicode : bool
        Whether line-drawing and music signs may be used.
    color : bool
        Whether weight and colour may be used.
    width : int
        Columns, at least 40.
    pictures : bool
        Whether diagrams are drawn; otherwise they are told in words, for a screen reader.
    """

    unicode: bool = True
    color: bool = False
    width: int = 80
    pictures: bool = True

    def weigh(self, text: str, weight: Weight) -> str:
        """Return the text in a weight, or as it is where that cannot be shown."""
        code = _CODES[weight]
        return f"\x1b[{code}m{text}\x1b[0m" if self.color and code and text else text

    def plain(self, text: str) -> str:
        r"""Return the text in signs that can be shown, with no control characters.

        Examples
        --------
        >>> TextStyle(unicode=False).plain("B♭ – 3 cents"), TextStyle().plain("a\x1b[31mb")
        ('Bb - 3 cents', 'a?[31mb')
        """
        text = "".join("?" if unicodedata.category(sign) in {"Cc", "Cf", "Cs", "Zl", "Zp"} else sign for sign in text)
        if self.unicode:
            return text
        text = "".join(_ASCII_SIGNS.get(sign, sign) for sign in text)
        return text.encode("ascii", "replace").decode("ascii")


def visible_width(text: str) -> int:
    """Return how many columns a text takes, escape codes not counted; wide East Asian signs take two."""
    shown = _ESCAPE.sub("", text)
    return sum(0 if unicodedata.combining(s) else 2 if unicodedata.east_asian_width(s) in "WF" else 1 for s in shown)


def join_beside(blocks: Sequence[Sequence[str]], *, width: int) -> tuple[str, ...]:
    """Lay blocks of lines side by side, and below each other where the width is used up.

    Examples
    --------
    >>> join_beside([("ab", "c"), ("d",)], width=40)
    ('ab   d', 'c')
    >>> join_beside([("ab", "c"), ("d",)], width=4)
    ('ab', 'c', '', 'd')
    """
    rows: list[list[Sequence[str]]] = []
    used = 0
    for block in blocks:
        wide = max(map(visible_width, block), default=0)
        if rows and used + GAP + wide <= width:
            rows[-1].append(block)
            used += GAP + wide
        else:
            rows.append([block])
            used = wide
    lines: list[str] = []
    for row in rows:
        if lines:
            lines.append("")
        widths = [max(map(visible_width, block), default=0) for block in row]
        for at in range(max(map(len, row))):
            cells = [block[at] if at < len(block) else "" for block in row]
            padded = (cell + " " * (wide - visible_width(cell)) for cell, wide in zip(cells, widths, strict=True))
            lines.append((" " * GAP).join(padded).rstrip())
    return tuple(lines)


def wrap_text(text: str, *, width: int, indent: str = "") -> tuple[str, ...]:
    """Break a text at spaces so that no line is wider than the width; every line begins with the indent."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        candidate = f"{line} {word}" if line else word
        if line and visible_width(indent + candidate) > width:
            lines.append(indent + line)
            line = word
        else:
            line = candidate
    if line:
        lines.append(indent + line)
    return tuple(lines)
