"""One shape as it is typed: a word, or frets set apart."""

from __future__ import annotations

import re
from collections.abc import Sequence

from listen.errors import bad_value, shorten
from listen.instrument import Fretboard, Shape, parse_shape


def parse_one_shape(frets: Sequence[str], board: Fretboard) -> Shape:
    """Read a shape from its words, of which none may be a shape by itself beside others.

    Raises
    ------
    BadValueError
        It is no shape, or several, or none of its strings sounds.

    Examples
    --------
    >>> parse_one_shape(["x 3 2 0 1 0"], Fretboard()).text
    'x32010'
    """
    words = " ".join(frets).replace(",", " ").split()
    whole = [word for word in words if len(re.findall(r"\d+", word) if "-" in word else word) > 3]
    if whole and len(words) > 1:
        remedy = f"{shorten(whole[0])} is one by itself."
        raise bad_value("frets", " ".join(words), allowed="one shape at a time", remedy=remedy)
    shape = parse_shape(" ".join(frets), fretboard=board)
    if all(fret is None for fret in shape.frets):
        raise bad_value("shape", shape.text, allowed="at least one string that sounds", remedy="Write x32010.")
    return shape
