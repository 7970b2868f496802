"""A shape: where the hand stops each string, and how it may be fingered.

Conventions: same order as the tuning, the highest-numbered string first; None is a string that is not played, 0 an
open string, other frets count from the capo. Written ``x32010``, or ``x-10-12-12-11-x`` where a fret has two digits.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from listen.errors import bad_value
from listen.instrument.fretboard import Fretboard
from listen.theory import Pitch

Finger = int | Literal["T"] | None  # 1..4, "T" the thumb over the neck, 0 an open string, None not played


@dataclass(frozen=True, slots=True, order=True)
class Shape:
    """Frets by string.

    Parameters
    ----------
    frets : tuple of int or None
        Highest-numbered string first.

    Examples
    --------
    >>> Shape((None, 3, 2, 0, 1, 0)).text
    'x32010'
    >>> Shape((None, 10, 12, 12, 11, None)).text
    'x-10-12-12-11-x'
    """

    frets: tuple[int | None, ...]

    @property
    def text(self) -> str:
        """The frets as players write them."""
        parts = ["x" if fret is None else str(fret) for fret in self.frets]
        return ("-" if any(len(part) > 1 for part in parts) else "").join(parts)

    @property
    def n_played(self) -> int:
        """How many strings sound."""
        return sum(fret is not None for fret in self.frets)

    def pitches(self, fretboard: Fretboard) -> tuple[Pitch | None, ...]:
        """Return what each string sounds, in string order; None where it is not played."""
        return tuple(None if fret is None else fretboard.pitch_at(index, fret) for index, fret in enumerate(self.frets))


@dataclass(frozen=True, slots=True)
class Barre:
    """One finger held flat over several strings.

    Parameters
    ----------
    finger : int
        1..4.
    fret : int
        Counted from the capo.
    first_string, last_string : int
        Indices into the shape's frets, both included; the first is the lower-sounding side of the neck.
    """

    finger: int
    fret: int
    first_string: int
    last_string: int


ReasonKind = Literal[
    "fingers", "too many fingers", "barre", "thumb", "unused thumb", "stretch", "too far", "crowded", "crossing",
    "high", "open strings", "one open string", "inner strings to damp", "strings left out",
    "silent string under a barre",
    "stays", "goes flat", "slides", "to place", "same form", "travel", "little time",
    "written",
]  # fmt: skip
"""Of a fingering; of a move; and ``written``: what a document says that this program would not have written."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a fingering or a move is easy or hard.

    Parameters
    ----------
    kind : ReasonKind
    amounts : tuple of int
        How many fingers or strings; low and high strings left out; frets and strings that a form moves, upward and to
        the treble positive; millimetres of a stretch or, signed, of the hand; milliseconds there are and are needed.
    fingers : tuple of int
        Which fingers it is about.
    words : str
        Of kind ``written``: what the document says.
    """

    kind: ReasonKind
    amounts: tuple[int, ...] = ()
    fingers: tuple[int, ...] = ()
    words: str = ""


@dataclass(frozen=True, slots=True)
class Fingering:
    """One way to hold a shape.

    Parameters
    ----------
    fingers : tuple of Finger
        Same order as the shape's frets.
    barres : tuple of Barre
    span_mm : float
        Along the neck, between the outermost fretting fingers.
    effort : float
        0 (nothing to hold) upward; comparable between shapes on one neck. About 10 is the hardest in use.
    reasons : tuple of Reason
        Why it is easy or hard, most telling first.
    playable : bool
        Whether the hand it was made for can hold it; an unplayable shape still has its best fingering and an effort.
    parts : tuple of (str, float)
        What the effort is made of.
    """

    fingers: tuple[Finger, ...]
    barres: tuple[Barre, ...]
    span_mm: float
    effort: float
    reasons: tuple[Reason, ...]
    playable: bool = True
    parts: tuple[tuple[str, float], ...] = ()


def parse_shape(text: str, *, fretboard: Fretboard | None = None) -> Shape:
    """Read frets as players write them, highest-numbered string first.

    Parameters
    ----------
    text : str
        ``x32010``; with spaces, hyphens or commas between the frets where one has two digits
        (``x-10-12-12-11-x``). ``x`` is a string that is not played.
    fretboard : Fretboard, optional
        What the shape is held on; a guitar in standard tuning when not given.

    Raises
    ------
    BadValueError
        A sign that is no fret, the wrong number of strings, or a fret beyond the neck.

    Examples
    --------
    >>> parse_shape("x 3 2 0 1 0").text, parse_shape("x-10-12-12-11-x").frets
    ('x32010', (None, 10, 12, 12, 11, None))
    >>> parse_shape("x3201")
    Traceback (most recent call last):
    listen.errors.BadValueError: shape=x3201 is not possible: it takes one fret for each of the 6 strings. It has 5;
    write x where a string is not played.
    """
    neck = fretboard or Fretboard()
    words = _split_frets(text, n_strings=neck.n_strings)
    frets = tuple(_read_fret(word, text=text, fretboard=neck) for word in words)
    if len(frets) != neck.n_strings:
        raise bad_value(
            "shape", text, allowed=f"one fret for {_each(neck)}",
            remedy=f"It has {len(frets)}; write x where a string is not played."
            + (" Put hyphens between frets of two digits." if len(frets) > neck.n_strings else ""),
        )  # fmt: skip
    return Shape(frets)


def _each(neck: Fretboard) -> str:
    return "the one string" if neck.n_strings == 1 else f"each of the {neck.n_strings} strings"


def _split_frets(text: str, *, n_strings: int) -> list[str]:
    """Split the text into one word a string; digits that stand alone are a fret each."""
    if len(text) > 8 * n_strings:
        raise bad_value("shape", text, allowed=f"frets for {n_strings} strings", remedy="Write x32010.")
    words = [word for word in re.split(r"[\s,\-–|]+", text.strip()) if word]
    if len(words) == 1:
        return list(words[0])
    return words


def _read_fret(word: str, *, text: str, fretboard: Fretboard) -> int | None:
    if word in {"x", "X", "×"}:
        return None
    if not re.fullmatch(r"[0-9]{1,3}", word):
        raise bad_value(
            "shape", text, allowed="frets, and x where a string is not played", remedy=f"“{word[:12]}” is neither."
        )
    fret = int(word)
    if fret > fretboard.top_fret:
        counted = f" counted from the capo at {fretboard.capo_fret}" if fretboard.capo_fret else ""
        raise bad_value(
            "shape", text, allowed=f"frets from 0 to {fretboard.top_fret}{counted}", remedy=f"There is no fret {fret}."
        )
    return fret


def require_on_neck(shape: Shape, fretboard: Fretboard) -> None:
    """Refuse a shape that does not fit the instrument: another number of strings, or a fret beyond the neck.

    Raises
    ------
    BadValueError
    """
    if len(shape.frets) != fretboard.n_strings:
        raise bad_value("shape", shape.text, allowed=f"one fret for {_each(fretboard)}")
    for fret in shape.frets:
        if fret is not None and not 0 <= fret <= fretboard.top_fret:
            raise bad_value("shape", shape.text, allowed=f"frets from 0 to {fretboard.top_fret}")
