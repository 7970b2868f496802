"""Fingering: which finger holds which string, and how hard that is.

Conventions: a finger at a higher fret is never a lower finger (hard rule); a barre covers neighbouring strings, each
of which it stops or lies behind the finger that stops it, and never an open string that sounds. What the hand cannot
hold (too far, five fingers, a thumb it does not use) still gets its best fingering, with ``playable=False``.

Every division of the stopped strings among fingers is tried; there are at most 32 on six strings. :mod:`efforts
<listen.instrument.efforts>` does the same for many shapes at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, permutations

from listen.instrument.effort import Contact, count_failures, estimate_parts
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import USUAL_HAND, Hand
from listen.instrument.reasons import explain_fingering
from listen.instrument.shape import Barre, Finger, Fingering, Shape, require_on_neck

Group = tuple[int, int, int]  # fret, first string, last string


def best_fingering(shape: Shape, fretboard: Fretboard, *, hand: Hand = USUAL_HAND) -> Fingering:
    """Return the easiest way to hold a shape.

    Raises
    ------
    BadValueError
        The shape does not fit the instrument.

    Examples
    --------
    >>> from listen.instrument import parse_shape
    >>> held = best_fingering(parse_shape("133211"), Fretboard())
    >>> held.fingers, held.barres[0].last_string, held.playable
    ((1, 3, 4, 2, 1, 1), 5, True)
    """
    return find_fingerings(shape, fretboard, hand=hand, limit=1)[0]


def find_fingerings(
    shape: Shape, fretboard: Fretboard, *, hand: Hand = USUAL_HAND, limit: int = 6
) -> tuple[Fingering, ...]:
    """Find the ways to hold a shape, the easiest first; by effort, then by finger numbers.

    Those that the hand can hold, or the best that it cannot where there is none. Fingers in reversed order on one fret
    are offered after the best in natural order, never before it.

    Raises
    ------
    BadValueError
        The shape does not fit the instrument.
    """
    require_on_neck(shape, fretboard)
    natural = [_weigh(shape, contacts, fretboard, hand=hand) for contacts in _find_contacts(shape, thumb=False)]
    if shape.frets[0] and (hand.thumb or not any(_is_playable(item) for item in natural)):
        natural += [_weigh(shape, contacts, fretboard, hand=hand) for contacts in _find_contacts(shape, thumb=True)]
    natural.sort(key=_rank)
    best = min(natural, key=lambda item: (count_failures(shape, item[3], fretboard, hand=hand), *_rank(item)))
    chosen = [best]
    if limit > 1 and _is_playable(best):
        reversals = [
            _weigh(shape, order, fretboard, hand=hand) for item in natural for order in _find_reversals(item[3])
        ]
        others = sorted((item for item in natural + reversals if _is_playable(item) and item != best), key=_rank)
        chosen += others[: limit - 1]
    return tuple(_to_fingering(shape, contacts, parts, fretboard, hand=hand) for _, _, parts, contacts in chosen)


_Weighed = tuple[float, tuple[int, ...], tuple[tuple[str, float], ...], tuple[Contact, ...]]


def _weigh(shape: Shape, contacts: tuple[Contact, ...], fretboard: Fretboard, *, hand: Hand) -> _Weighed:
    parts = estimate_parts(shape, contacts, fretboard, hand=hand)
    return sum(cost for _, cost in parts), tuple(contact.finger for contact in contacts), parts, contacts


def _rank(item: _Weighed) -> tuple[float, tuple[int, ...]]:
    return round(item[0], 6), item[1]


def _is_playable(item: _Weighed) -> bool:
    return dict(item[2])["beyond"] == 0


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


def _find_reversals(contacts: tuple[Contact, ...]) -> Iterator[tuple[Contact, ...]]:
    """Yield the other orders of those fingers that share a fret."""
    fingers = [contact for contact in contacts if contact.finger]
    numbers = tuple(contact.finger for contact in fingers)
    for order in permutations(numbers):
        moved = [replace(contact, finger=number) for contact, number in zip(fingers, order, strict=True)]
        rising = all(one.finger < other.finger for one in moved for other in moved if one.fret < other.fret)
        if rising and order != numbers:
            thumb = [contact for contact in contacts if not contact.finger]
            yield (*thumb, *sorted(moved, key=lambda contact: (contact.fret, contact.finger)))


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


def _to_fingering(
    shape: Shape,
    contacts: tuple[Contact, ...],
    parts: tuple[tuple[str, float], ...],
    fretboard: Fretboard,
    *,
    hand: Hand,
) -> Fingering:
    fingers: list[Finger] = [None if fret is None else 0 for fret in shape.frets]
    for contact in contacts:
        for string in range(contact.first_string, contact.last_string + 1):
            if shape.frets[string] == contact.fret:
                fingers[string] = contact.finger or "T"
    barres = tuple(
        Barre(contact.finger, contact.fret, contact.first_string, contact.last_string)
        for contact in contacts
        if contact.is_barre
    )
    pressed = [contact.fret for contact in contacts if contact.finger]
    span_mm = fretboard.wire_mm(max(pressed)) - fretboard.wire_mm(min(pressed)) if pressed else 0.0
    cost = dict(parts)
    return Fingering(
        tuple(fingers),
        barres,
        round(span_mm, 1),
        round(sum(cost.values()), 4),
        explain_fingering(shape, contacts, parts, fretboard, hand=hand),
        cost["beyond"] == 0,
        tuple((name, round(value, 4)) for name, value in parts if value),
    )
