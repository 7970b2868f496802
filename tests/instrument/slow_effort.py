"""A slow and readable measure of effort, string by string: what the vector measure is held to.

Every division of the stopped strings is tried with every choice of fingers, each part of the cost in a function of its
own, in plain Python. Only the prices are shared with the program.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from listen.instrument import Fretboard, Hand, Shape, estimate_stretch_mm
from listen.instrument.contact import Contact, list_stretched_pairs
from listen.instrument.effort import (
    BARRE,
    BARRE_FIRST_FRET,
    BARRE_GAP,
    BARRE_LIFT,
    BARRE_STRING,
    BEYOND,
    CROSS,
    CROWD,
    EXTRA_FINGER,
    FINGER,
    FOUR_IN_A_FRET,
    HIGH,
    HIGH_FRET,
    IDLE_INDEX,
    MUTE_DAMPED,
    MUTE_IDLE,
    MUTE_INNER,
    MUTE_MORE,
    MUTE_OUTER,
    NARROW,
    NARROW_MM,
    NEAR_NUT,
    OUT_OF_PLACE,
    PART_NAMES,
    REVERSED,
    SKIPPED_FRET,
    SPREAD,
    STRETCH,
    THUMB,
    THUMB_REACH,
    WEAKNESS,
)
from listen.instrument.hand import EASY_SHARE, GREATEST_SHARE, RELAXED_SHARE

Group = tuple[int, int, int]  # fret, first string, last string


def find_best(shape: Shape, fretboard: Fretboard, *, hand: Hand) -> tuple[tuple[Contact, ...], dict[str, float], bool]:
    """Return the fingers of the easiest way to hold a shape, what each part of it costs, and whether it can be held."""
    ways = list(_find_contacts(shape, thumb=False))
    failures = [count_failures(shape, contacts, fretboard, hand=hand) for contacts in ways]
    if shape.frets[0] and (hand.thumb or all(failures)):
        ways += _find_contacts(shape, thumb=True)

    def rank(contacts: tuple[Contact, ...]) -> tuple[int, float, tuple[int, ...]]:
        cost = sum(cost for _, cost in estimate_parts(shape, contacts, fretboard, hand=hand))
        numbers = tuple(contact.finger for contact in contacts)
        return count_failures(shape, contacts, fretboard, hand=hand), round(cost, 6), numbers

    best = min(ways, key=rank)
    return best, dict(estimate_parts(shape, best, fretboard, hand=hand)), rank(best)[0] == 0


def _find_contacts(shape: Shape, *, thumb: bool) -> Iterator[tuple[Contact, ...]]:
    """Yield every division of the stopped strings among fingers, with every choice of fingers for it."""
    frets = (0, *shape.frets[1:]) if thumb else shape.frets
    extra = (Contact(0, shape.frets[0] or 0, 0, 0),) if thumb else ()
    blocked = (None, *shape.frets[1:]) if thumb else shape.frets
    divisions = list(_find_divisions(frets, blocked))
    few = [groups for groups in divisions if len(groups) <= 4]
    if not few:  # five fingers: the division that needs fewest, the little finger standing for all that is too much
        groups = min(divisions, key=len)
        numbers = tuple(min(index + 1, 4) for index in range(len(groups)))
        yield (*extra, *(Contact(number, *group) for number, group in zip(numbers, groups, strict=True)))
        return
    for groups in few:
        for numbers in combinations((1, 2, 3, 4), len(groups)):
            yield (*extra, *(Contact(number, *group) for number, group in zip(numbers, groups, strict=True)))


def _find_divisions(frets: tuple[int | None, ...], blocked: tuple[int | None, ...]) -> Iterator[tuple[Group, ...]]:
    """Yield the ways to divide the stopped strings into groups that one finger holds, by fret and string."""
    divisions: list[list[Group]] = [[]]
    for string, fret in enumerate(frets):
        if not fret:
            continue
        extended: list[list[Group]] = []
        for groups in divisions:
            extended.append([*groups, (fret, string, string)])
            same = [index for index, group in enumerate(groups) if group[0] == fret]
            if same and _can_cover(blocked, fret, groups[same[-1]][2], string):
                wider = list(groups)
                wider[same[-1]] = (fret, groups[same[-1]][1], string)
                extended.append(wider)
        divisions = extended
    return (tuple(sorted(groups)) for groups in divisions)  # as the fingers take them: by fret, then from the bass


def _can_cover(frets: tuple[int | None, ...], fret: int, first_string: int, last_string: int) -> bool:
    between = frets[first_string + 1 : last_string]
    return all(other is None or other > fret for other in between)


def estimate_parts(
    shape: Shape, contacts: tuple[Contact, ...], fretboard: Fretboard, *, hand: Hand
) -> tuple[tuple[str, float], ...]:
    """Measure each part of the effort of one fingering; more than four fingers are what the hand lacks."""
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
