"""Intervals as a chord player counts them: a degree of the major scale, raised or lowered.

Conventions: degree 1 is the root, 3 the major third, 9 the major second an octave up; an accidental counts from the
major scale, so ``b3`` is the minor third, ``7`` the major seventh and ``b7`` the minor seventh.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from listen.errors import bad_value

MAJOR_SCALE = (0, 2, 4, 5, 7, 9, 11)
_INTERVAL = re.compile(r"(bb|##|b|#|♭♭|♯♯|♭|♯|x)?(1[0-3]|[1-9])")
_SHIFTS = {"": 0, "b": -1, "#": 1, "bb": -2, "##": 2, "x": 2, "♭": -1, "♯": 1, "♭♭": -2, "♯♯": 2}
_SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}


@dataclass(frozen=True, slots=True, order=True)
class Interval:
    """A scale degree and its alteration.

    Parameters
    ----------
    degree : int
        1..13, counted on the major scale.
    alteration : int
        Semitones against the major scale, -2..2.

    Examples
    --------
    >>> Interval.parse("b7").semitones, Interval.parse("#11").semitones, str(Interval(3, -1))
    (10, 18, 'b3')
    """

    degree: int
    alteration: int = 0

    @property
    def semitones(self) -> int:
        """Semitones above the root; a compound degree counts its octave (9 is 14)."""
        octave, step = divmod(self.degree - 1, 7)
        return 12 * octave + MAJOR_SCALE[step] + self.alteration

    @property
    def pitch_class(self) -> int:
        """Semitones above the root within one octave, 0..11."""
        return self.semitones % 12

    def __str__(self) -> str:
        return f"{_SIGNS[self.alteration]}{self.degree}"

    @classmethod
    def parse(cls, text: str) -> Interval:
        """Read ``1``, ``b3``, ``#11``, ``bb7``.

        Raises
        ------
        BadValueError
            The text is not a degree from 1 to 13 with at most two accidentals before it.
        """
        match = _INTERVAL.fullmatch(text.strip())
        if match is None:
            raise bad_value(
                "degree", text, allowed="a degree from 1 to 13, lowered with b or raised with #",
                remedy="Write b3, 5 or #11.",
            )  # fmt: skip
        accidental, degree = match.groups(default="")
        return cls(int(degree), _SHIFTS[accidental])
