"""Text inside XML and HTML: escaped, and without the signs that XML cannot hold.

References
----------
W3C, *Extensible Markup Language (XML) 1.0*, 5th ed., 2008, section 2.2: which characters a document may have. Control
characters that it only discourages (C1) are left out as well.
"""

from __future__ import annotations

import html
import re

_BARRED = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff"
    + "".join(chr(0x10000 * plane + last) for plane in range(17) for last in (0xFFFE, 0xFFFF))
    + "]"
)
"""Control characters but tabulator and line ends, halves of signs, and what is no character on any plane."""


def legible(text: str) -> str:
    r"""Return a text with a question mark for every sign that a document may not have.

    Examples
    --------
    >>> legible("a\x00b\x1b[31m\ud800"), legible("E♭ 私")
    ('a?b?[31m?', 'E♭ 私')
    """
    return _BARRED.sub("?", text)


def escape(text: str, *, quote: bool = False) -> str:
    r"""Return a text as it stands between tags, or with `quote` inside an attribute.

    Examples
    --------
    >>> escape("<a>\x07 & b"), escape("'x'", quote=True)
    ('&lt;a&gt;? &amp; b', '&#x27;x&#x27;')
    """
    return html.escape(legible(text), quote=quote)


def escape_for_style(text: str) -> str:
    r"""Return a text as it stands between double quotes in a style sheet, and inside an HTML element.

    Every sign but plain letters and digits is written by its number (W3C, *CSS Syntax Level 3*, section 4.3.7).

    Examples
    --------
    >>> escape_for_style('E♭ "</style>')
    'E\\266d \\20 \\22 \\3c \\2f style\\3e '
    """
    return "".join(sign if sign.isascii() and sign.isalnum() else f"\\{ord(sign):x} " for sign in legible(text))
