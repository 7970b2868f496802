"""The hand: how far it reaches, whether its thumb helps, and how the other hand plucks.

Conventions: fingers 1 index to 4 little. A stretch is measured in millimetres between the places where two fingertips
press, not in frets and not from wire to wire: the lower finger stands at its wire, the higher one about a third of
its fret's space behind its own, so the same four frets are half as far apart at fret 12 as at fret 1. Strings count
a little: half of their spacing.

The limits of each pair of fingers are shares of the reach between index and little finger. They start from the spans
of Parncutt et al. for the hand at a keyboard, scaled so that index to little finger is 1 (their table, from memory:
greatest practical spans 2–3 five, 2–4 seven, 2–5 ten, 3–4 four, 3–5 seven, 4–5 five semitones; comfortable 3, 5, 8,
2, 5, 3; smallest relaxed 1, 3, 5, 1, 3, 1). Index to middle and index to ring are wider here: printed fingerings ask
for .62 and .77 of a usual hand's reach.

References
----------
R. Parncutt, J. A. Sloboda, E. F. Clarke, M. Raekallio, P. Desain, "An ergonomic model of keyboard fingering for
melodic fragments", Music Perception, 1997.
H. Heijink, R. G. J. Meulenbroek, "On the complexity of classical guitar playing", Journal of Motor Behavior, 2002.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from listen.errors import bad_value
from listen.instrument.fretboard import Fretboard

Picking = Literal["pick", "fingers"]

PRESS_BACK = 0.35  # of a fret's space: where the farther finger presses, measured back from its wire
STRING_GAP_MM = 8.0  # between neighbouring strings: 7.1 at a guitar's nut, 10.5 at its bridge (makers' usual values)
ACROSS_SHARE = 0.5  # how much a distance across the strings counts against one along them
SHORTEST_REACH_MM, LONGEST_REACH_MM = 60.0, 160.0  # a child's hand; beyond any hand measured at a keyboard

# Shares of the reach, by pair of fingers.
GREATEST_SHARE = {(1, 2): 0.65, (1, 3): 0.8, (1, 4): 1.0, (2, 3): 0.6, (2, 4): 0.7, (3, 4): 0.55}
# comfortable spans of Parncutt et al., over their greatest of index to little finger
EASY_SHARE = {(1, 2): 0.3, (1, 3): 0.5, (1, 4): 0.8, (2, 3): 0.25, (2, 4): 0.45, (3, 4): 0.3}
# their smallest relaxed ones, in the same way
RELAXED_SHARE = {(1, 2): 0.1, (1, 3): 0.3, (1, 4): 0.5, (2, 3): 0.1, (2, 4): 0.3, (3, 4): 0.1}


@dataclass(frozen=True, slots=True)
class Hand:
    """What a player's hands can do.

    Parameters
    ----------
    reach_mm : float
        The farthest that index and little finger can press apart along the neck, 60..160 mm. The trade's rule of
        thumb is 100–110 mm from wire to wire, which is about 8 mm more than between the fingertips.
    thumb : bool
        Whether the thumb comes over the neck for the lowest string.
    picking : "pick" or "fingers"
        With a pick every inner string that is left out has to be damped; with fingers it is just not plucked.

    Raises
    ------
    BadValueError
        A reach that no hand has.
    """

    reach_mm: float = 100.0
    thumb: bool = False
    picking: Picking = "pick"

    def __post_init__(self) -> None:
        if not SHORTEST_REACH_MM <= self.reach_mm <= LONGEST_REACH_MM:
            raise bad_value(
                "reach", f"{self.reach_mm:g} mm", allowed=f"{SHORTEST_REACH_MM:g} to {LONGEST_REACH_MM:g} mm",
                remedy="Measure from index to little fingertip, spread on the neck; or say small, usual or wide.",
            )  # fmt: skip


SMALL_HAND = Hand(88.0)
USUAL_HAND = Hand(100.0)
WIDE_HAND = Hand(118.0)
HANDS = {"small": SMALL_HAND, "usual": USUAL_HAND, "wide": WIDE_HAND}


def parse_hand(text: str, *, thumb: bool = False, picking: Picking = "pick") -> Hand:
    """Read a reach: ``small``, ``usual``, ``wide``, or millimetres.

    Raises
    ------
    BadValueError
        Neither one of the three words nor a reach that a hand has.

    Examples
    --------
    >>> parse_hand("wide").reach_mm, parse_hand("95 mm").reach_mm
    (118.0, 95.0)
    """
    word = text.strip().casefold()
    if word in HANDS:
        return Hand(HANDS[word].reach_mm, thumb, picking)
    number = re.fullmatch(r"([0-9]{1,4}(?:\.[0-9]{1,3})?)\s*(?:mm)?", word)
    if number is None:
        raise bad_value(
            "reach", text, allowed=f"small, usual, wide, or {SHORTEST_REACH_MM:g} to {LONGEST_REACH_MM:g} mm"
        )
    return Hand(float(number[1]), thumb, picking)


def estimate_stretch_mm(fretboard: Fretboard, *, fret: int, higher_fret: int, strings_apart: int = 0) -> float:
    """Measure how far two fingertips are apart.

    Parameters
    ----------
    fretboard : Fretboard
    fret, higher_fret : int
        Where the two press, counted from the capo; the second is not below the first.
    strings_apart : int
        Between the nearest strings that they hold.

    Examples
    --------
    >>> neck = Fretboard()
    >>> [round(estimate_stretch_mm(neck, fret=low, higher_fret=low + 3)) for low in (1, 5, 12)]
    [87, 69, 46]
    """
    along = 0.0
    if higher_fret > fret:
        wire = fretboard.wire_mm(higher_fret)
        along = wire - fretboard.wire_mm(fret) - PRESS_BACK * (wire - fretboard.wire_mm(higher_fret - 1))
    across = ACROSS_SHARE * STRING_GAP_MM * strings_apart
    return float((along**2 + across**2) ** 0.5)
