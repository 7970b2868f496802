"""Effort: what a fingering costs the hand, part by part.

Conventions: 0 is nothing to hold; about 10 is the hardest in use. Parts add up. The order was set so that it follows
what players and teachers agree on (Vélez Vásquez et al. 2023: number of fingers, a finger on more than one string,
spread, inner strings left out); the exchange rates between parts are choices of this project, and how well the
resulting order agrees with the published rubric is printed by ``python -m tests.benchmarks.shapes``.

References
----------
M. A. Vélez Vásquez, M. Baelemans, J. Driedger, W. Zuidema, J. A. Burgoyne, "Quantifying the ease of playing song
chords on the guitar", ISMIR 2023.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import EASY_SHARE, GREATEST_SHARE, RELAXED_SHARE, Hand, estimate_stretch_mm
from listen.instrument.shape import Shape

PART_NAMES = ("fingers", "barres", "stretch", "crowding", "crossing", "position", "muting", "thumb", "beyond")

FINGER = 0.5  # each finger that presses; the rubric's own 0.5
WEAKNESS = {1: 0.0, 2: 0.0, 3: 0.05, 4: 0.2}  # the little finger is the weakest
BARRE = {1: 0.6, 2: 1.3, 3: 1.4, 4: 1.5}  # a finger held flat over two strings
BARRE_STRING = {1: 0.12, 2: 0.5, 3: 0.5, 4: 0.5}  # each further string under it
BARRE_FIRST_FRET = 0.06  # each string under a barre at the nut, where strings are stiffest to press down
BARRE_LIFT = 0.8  # the last joint bent back to clear a string beside the barre: open, lower, or another finger's
BARRE_GAP = 0.15  # a barre of three strings that stops only the outer two: printed fingerings use a finger for each
SPREAD = 1.6  # at full reach, for the outermost fingers
STRETCH = 0.7  # at a pair's greatest stretch, growing with the square from where it stops being easy
SKIPPED_FRET = 0.4  # each fret between neighbouring fingers beyond one finger a fret
CROWD = 0.15  # a pair of fingers squeezed onto one spot
NARROW_MM = 22.0  # fret space below which fingertips on neighbouring strings no longer stand side by side (fret 9)
NARROW = 0.6
FOUR_IN_A_FRET = 1.0  # four fingers behind one wire: 4 of 300 published fingerings of four strings at one fret (judged)
CROSS = 0.05  # each string by which a finger at a higher fret lies on the bass side of one at a lower fret
REVERSED = 0.8  # two fingers over one another on the same fret
IDLE_INDEX = 0.4  # each finger passed over from the index up, where no open string lets the hand wait
OUT_OF_PLACE = 0.05  # beside open strings near the nut: each fret between a finger and the fret of its own number
NEAR_NUT = 4  # frets that "near the nut" means
HIGH_FRET, HIGH = 12, 0.08  # where a neck usually meets the body's shoulder, and each fret above
MUTE_OUTER = 0.2  # an outer string left out
MUTE_DAMPED = 0.8  # one inner string that a neighbouring fingertip can damp
MUTE_INNER = 2.0  # one that nothing damps
MUTE_IDLE = 1.0  # one where nothing is stopped, so that the whole hand is free to damp
MUTE_MORE = 1.0  # every inner string after the first
THUMB = 1.0  # over the neck on the lowest string
THUMB_REACH = (-1, 2)  # frets against the lowest finger within which it can press
BEYOND = 3.0  # for what the hand cannot hold
EXTRA_FINGER = 2.5  # each finger more than four


@dataclass(frozen=True, slots=True)
class Contact:
    """One finger on the neck.

    Parameters
    ----------
    finger : int
        1..4; 0 the thumb.
    fret : int
    first_string, last_string : int
        What it covers, both included.
    """

    finger: int
    fret: int
    first_string: int
    last_string: int

    @property
    def is_barre(self) -> bool:
        """Whether it is held flat over more than one string."""
        return self.last_string > self.first_string


def estimate_parts(
    shape: Shape, contacts: tuple[Contact, ...], fretboard: Fretboard, *, hand: Hand
) -> tuple[tuple[str, float], ...]:
    """Measure each part of the effort of one fingering.

    Parameters
    ----------
    shape : Shape
    contacts : tuple of Contact
        By fret, then from the bass side; more than four fingers are counted as what the hand lacks.
    fretboard : Fretboard
    hand : Hand

    Returns
    -------
    tuple of (str, float)
        Every name of :data:`PART_NAMES` with its cost; ``beyond`` is above 0 when the hand cannot hold it.
    """
    fingers = [contact for contact in contacts if contact.finger]
    extra = max(0, len(fingers) - 4)
    if extra:  # the three lowest and the highest are what the reach is asked for
        fingers = [*fingers[:3], fingers[-1]]
    stretch, crowding, too_far = _spread_costs(fingers, fretboard, hand=hand)
    barres = sum(_barre_cost(shape, contact) for contact in fingers if contact.is_barre)
    thumb, thumb_fails = _thumb_cost(contacts, hand=hand)
    pressed = count_sounding(shape, contacts, hand=hand)
    cost = {
        "fingers": FINGER * (len(fingers) + extra) + sum(WEAKNESS[contact.finger] for contact in fingers),
        "barres": barres,
        "stretch": stretch,
        "crowding": crowding,
        "crossing": _crossing_cost(fingers),
        "position": _position_cost(shape, fingers, fretboard),
        "muting": estimate_muting(shape) if hand.picking == "pick" else 0.0,
        "thumb": thumb,
        "beyond": BEYOND * (too_far > 0 or extra > 0 or pressed > 0 or thumb_fails) + EXTRA_FINGER * extra,
    }
    return tuple((name, float(cost[name])) for name in PART_NAMES)


def count_failures(shape: Shape, contacts: tuple[Contact, ...], fretboard: Fretboard, *, hand: Hand) -> int:
    """Count what the hand lacks: fingers, reach between pairs of them, reach of its thumb, silence under a barre."""
    fingers = [contact for contact in contacts if contact.finger]
    too_many = len(fingers) > 4
    fingers = [*fingers[:3], fingers[-1]] if too_many else fingers
    pressed = count_sounding(shape, contacts, hand=hand)
    return _spread_costs(fingers, fretboard, hand=hand)[2] + too_many + pressed + _thumb_cost(contacts, hand=hand)[1]


def _barre_cost(shape: Shape, contact: Contact) -> float:
    width = contact.last_string - contact.first_string + 1
    cost = (
        BARRE[contact.finger]
        + BARRE_STRING[contact.finger] * (width - 2)
        + BARRE_FIRST_FRET * width * (contact.fret == 1)
    )
    beside = shape.frets[contact.last_string + 1] if contact.last_string + 1 < len(shape.frets) else None
    lifted = beside is not None and beside <= contact.fret
    gap = width == 3 and shape.frets[contact.first_string + 1] != contact.fret
    return cost + BARRE_LIFT * lifted + BARRE_GAP * gap


def count_sounding(shape: Shape, contacts: tuple[Contact, ...], *, hand: Hand) -> int:
    """Count the strings that a barre presses down though they must stay silent, no fingertip beside damping them.

    A hand that plucks with its fingers leaves them out.
    """
    if hand.picking != "pick":
        return 0
    frets = [-1 if fret is None else fret for fret in shape.frets]
    return sum(
        frets[string] < 0 and max(frets[string - 1], frets[string + 1]) <= contact.fret
        for contact in contacts
        for string in range(contact.first_string + 1, contact.last_string)
    )


def _strings_apart(one: Contact, other: Contact) -> int:
    return max(0, one.first_string - other.last_string, other.first_string - one.last_string)


def list_stretched_pairs(n_fingers: int) -> list[tuple[int, int]]:
    """List the pairs of fingers whose distance is measured: neighbours, and the outermost of three or four."""
    last = n_fingers - 1
    return [(index, index + 1) for index in range(last)] + ([(0, last)] if last > 1 else [])


def _spread_costs(fingers: list[Contact], fretboard: Fretboard, *, hand: Hand) -> tuple[float, float, int]:
    """Return the costs of stretching and of crowding, and how many pairs are beyond their limit."""
    stretch = crowding = 0.0
    too_far = 0
    last = len(fingers) - 1
    for low, high in list_stretched_pairs(len(fingers)):
        one, other = fingers[low], fingers[high]
        apart = _strings_apart(one, other)
        distance = estimate_stretch_mm(fretboard, fret=one.fret, higher_fret=other.fret, strings_apart=apart)
        pair = (min(one.finger, other.finger), max(one.finger, other.finger))
        easy, greatest, relaxed = (hand.reach_mm * table[pair] for table in (EASY_SHARE, GREATEST_SHARE, RELAXED_SHARE))
        stretch += STRETCH * max(0.0, (distance - easy) / (greatest - easy)) ** 2
        crowding += CROWD * max(0.0, 1.0 - distance / relaxed)
        too_far += distance > greatest
        if (low, high) == (0, last):
            stretch += SPREAD * distance / hand.reach_mm
        if high != low + 1:
            continue
        stretch += SKIPPED_FRET * max(0, (other.fret - one.fret) - (other.finger - one.finger))
        if one.fret == other.fret and apart == 1:
            space = fretboard.wire_mm(one.fret) - fretboard.wire_mm(one.fret - 1)
            crowding += NARROW * max(0.0, 1.0 - space / NARROW_MM)
    crowding += FOUR_IN_A_FRET * (last == 3 and fingers[0].fret == fingers[last].fret)
    return stretch, crowding, too_far


def _crossing_cost(fingers: list[Contact]) -> float:
    cost = 0.0
    for one, other in pairwise(fingers):
        if other.fret > one.fret:
            cost += CROSS * max(0, one.first_string - other.first_string)
    by_number = sorted(fingers, key=lambda contact: contact.finger)
    for one, other in pairwise(by_number):
        cost += REVERSED * (one.fret == other.fret and one.first_string > other.first_string)
    return cost


def _position_cost(shape: Shape, fingers: list[Contact], fretboard: Fretboard) -> float:
    if not fingers:
        return 0.0
    lowest, highest = fingers[0], fingers[-1]
    cost = HIGH * max(0, highest.fret + fretboard.capo_fret - HIGH_FRET)
    if 0 not in shape.frets:
        cost += IDLE_INDEX * (lowest.finger - 1)
    elif highest.fret <= NEAR_NUT:
        cost += OUT_OF_PLACE * abs(lowest.finger - lowest.fret)
    return cost


def estimate_muting(shape: Shape) -> float:
    """Measure what it costs to leave out strings when strumming with a pick."""
    played = [index for index, fret in enumerate(shape.frets) if fret is not None]
    if not played:
        return 0.0
    first, last = played[0], played[-1]
    inner = [index for index in range(first, last) if shape.frets[index] is None]
    if not any(shape.frets):  # nothing to hold: the fretting hand lies on the strings that stay silent
        return MUTE_OUTER * (first + len(shape.frets) - 1 - last) + MUTE_IDLE * len(inner)
    cost = MUTE_OUTER * (first + len(shape.frets) - 1 - last)
    for index in inner:
        damped = bool(shape.frets[index - 1] or shape.frets[index + 1])
        cost += MUTE_DAMPED if damped else MUTE_INNER
    return cost + MUTE_MORE * max(0, len(inner) - 1)


def _thumb_cost(contacts: tuple[Contact, ...], *, hand: Hand) -> tuple[float, bool]:
    thumbs = [contact.fret for contact in contacts if contact.finger == 0]
    if not thumbs:
        return 0.0, False
    others = [contact.fret for contact in contacts if contact.finger]
    against = thumbs[0] - min(others) if others else 0
    return THUMB, not hand.thumb or not THUMB_REACH[0] <= against <= THUMB_REACH[1]
