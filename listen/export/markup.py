"""Text inside XML and HTML: escaped, and without the signs that XML cannot hold.

References
----------
W3C, *Extensible Markup Language (XML) 1.0*, 5th ed., 2008, section 2.2: which characters a document may have. Control
characters that it only discourages (C1) are left out as well.
"""

from __future__ import annotations

import html
import unicodedata

_KEPT = "\t\n\r"


def legible(text: str) -> str:
    r"""Return a text with a question mark for every sign that a document may not have.

    Examples
    --------
    >>> legible("a\x00b\x1b[31m\ud800"), legible("E♭ 私")
    ('a?b?[31m?', 'E♭ 私')
    """
    return "".join("?" if _is_barred(sign) else sign for sign in text)


def escape(text: str, *, quote: bool = False) -> str:
    r"""Return a text as it stands between tags, or with `quote` inside an attribute.

    Examples
    --------
    >>> escape("<a>\x07 & b"), escape("'x'", quote=True)
    ('&lt;a&gt;? &amp; b', '&#x27;x&#x27;')
    """
    return html.escape(legible(text), quote=quote)


def _is_barred(sign: str) -> bool:
    if sign in _KEPT:
        return False
    return unicodedata.category(sign) in {"Cc", "Cs"} or ord(sign) & 0xFFFE == 0xFFFE
