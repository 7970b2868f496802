"""Fingering: which finger holds which string, and how hard that is.

Conventions: a finger at a higher fret is never a lower finger (hard rule); a barre covers neighbouring strings, each
of which it stops or lies behind the finger that stops it, and never an open string that sounds. What the hand cannot
hold (too far, five fingers, a thumb it does not use) still gets its best fingering, with ``playable=False``.

Every division of the stopped strings among fingers is weighed with every choice of fingers, by the one measure
(:mod:`listen.instrument.weighing`) that :mod:`efforts <listen.instrument.efforts>` takes for many shapes at once; here
its parts are kept apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from listen.instrument.contact import Contact
from listen.instrument.effort import BEYOND, PART_NAMES, THUMB
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import USUAL_HAND, Hand
from listen.instrument.muting import measure_muting
from listen.instrument.pair_costs import FAILURE
from listen.instrument.plans import FRET_SHIFT, NO_FINGER, find_joins, lay_out, list_plans, pack_fingers, unpack_fingers
from listen.instrument.reasons import explain_fingering
from listen.instrument.shape import Barre, Finger, Fingering, Shape, require_on_neck
from listen.instrument.thumb import find_thumb_failures
from listen.instrument.weighing import weigh_plans


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
    return _find_best(shape, fretboard, hand)


@lru_cache(maxsize=4096)
def _find_best(shape: Shape, fretboard: Fretboard, hand: Hand) -> Fingering:
    return best_fingerings([shape], fretboard, hand=hand)[0]


def best_fingerings(shapes: Sequence[Shape], fretboard: Fretboard, *, hand: Hand = USUAL_HAND) -> tuple[Fingering, ...]:
    """Return the easiest way to hold each of some shapes: all are weighed together, in little more time than one.

    Raises
    ------
    BadValueError
        A shape does not fit the instrument.
    """
    ways = _weigh_shapes(shapes, fretboard, hand, every_order=False)
    return tuple(
        _to_fingering(shape, _choose(own), fretboard, hand=hand) for shape, own in zip(shapes, ways, strict=True)
    )


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
    (ways,) = _weigh_shapes([shape], fretboard, hand, every_order=limit > 1)
    best = _choose(ways)
    others = [] if best.failures else [way for way in ways if way is not best and not way.failures]
    return tuple(_to_fingering(shape, way, fretboard, hand=hand) for way in (best, *others[: limit - 1]))


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to hold a shape.

    Parameters
    ----------
    fingers : tuple of int
        Of each contact; 0 the thumb.
    packed : tuple of int
        Where each is, as :func:`plans.pack_fingers` writes it.
    parts : tuple of float
        In the order of :data:`effort.PART_NAMES`.
    failures : int
        What the hand lacks for it.
    is_natural : bool
        Whether fingers that share a fret are in their order.
    """

    fingers: tuple[int, ...]
    packed: tuple[int, ...]
    parts: tuple[float, ...]
    failures: int
    is_natural: bool


def _rank(way: _Way) -> tuple[float, tuple[int, ...], bool]:
    return round(sum(way.parts), 6), way.fingers, not way.is_natural


def _choose(ways: list[_Way]) -> _Way:
    """Return the easiest of ranked ways among those for which the hand lacks least."""
    return min((way for way in ways if way.is_natural), key=lambda way: way.failures)


def _weigh_shapes(shapes: Sequence[Shape], fretboard: Fretboard, hand: Hand, *, every_order: bool) -> list[list[_Way]]:
    """Return the ways to hold each shape, the easiest first."""
    for shape in shapes:
        require_on_neck(shape, fretboard)
    columns = np.array([[-1 if fret is None else fret for fret in shape.frets] for shape in shapes], np.int8)
    columns = np.ascontiguousarray(columns.reshape(len(shapes), fretboard.n_strings).T)
    ways = _find_ways(columns, fretboard, hand, thumb=False, every_order=every_order)
    for_thumb = [
        number
        for number, own in enumerate(ways)
        if columns[0, number] > 0 and (hand.thumb or all(way.failures for way in own if way.is_natural))
    ]
    if for_thumb:
        further = _find_ways(columns[:, for_thumb], fretboard, hand, thumb=True, every_order=every_order)
        for number, more in zip(for_thumb, further, strict=True):
            ways[number] += more
    return [sorted(own, key=_rank) for own in ways]


def _find_ways(
    columns: NDArray[np.int8], fretboard: Fretboard, hand: Hand, *, thumb: bool, every_order: bool
) -> list[list[_Way]]:
    """Weigh every plan of each shape with every choice of fingers, and every order of those on one fret if asked."""
    held = columns.copy()
    if thumb:
        held[0] = -1
    joins, before = find_joins(held)
    rows, masks = list_plans(joins, (held > 0).sum(axis=0, dtype=np.int8), len(held))
    order = np.lexsort((_mirror(masks, len(held)), rows))
    rows, masks = rows[order], masks[order]
    packed_by_slot = pack_fingers(held[:, rows], before[:, rows], masks)
    packed = np.stack(packed_by_slot)
    orders = [(plan, order) for plan in range(rows.size) for order in _list_orders(packed[:, plan], every=every_order)]
    plan = np.array([plan for plan, _ in orders], np.int64)
    slots = np.array([order for _, order in orders], np.int64).reshape(-1, len(packed)).T
    turned = lay_out(held[:, rows], packed_by_slot).take(plan, slots[:4])
    number = rows[plan]
    same = _weigh_same(columns, hand, thumb=thumb)
    in_order = tuple(range(len(packed)))
    found: list[list[_Way]] = [[] for _ in orders]
    places = packed[slots, plan].T.tolist()
    for those, shared, choices in weigh_plans(turned, (columns == 0).any(axis=0)[number], fretboard, hand, apart=True):
        for fingers, cost in choices:
            for row, parts in zip(those.tolist(), (cost + shared + same[:, number[those]]).T.tolist(), strict=True):
                used = [place for place in places[row] if place != NO_FINGER]
                all_fingers = fingers + (4,) * (len(used) - len(fingers))  # the little finger for all that is too much
                found[row].append(_settle(all_fingers, used, parts, is_natural=orders[row][1] == in_order))
    ways: list[list[_Way]] = [[] for _ in range(columns.shape[1])]
    for row, own in enumerate(found):
        ways[number[row]] += own
    for each in set(range(len(ways))) - set(rows.tolist()):  # no finger is needed
        ways[each].append(_settle((), [], same[:, each].tolist(), is_natural=True))
    if not thumb:
        return ways
    thumbs = (columns[0].astype(np.int16) << FRET_SHIFT).tolist()
    return [
        [replace(way, fingers=(0, *way.fingers), packed=(place, *way.packed)) for way in own]
        for own, place in zip(ways, thumbs, strict=True)
    ]


def _mirror(masks: NDArray[np.int16], n_strings: int) -> NDArray[np.int64]:
    """Order plans as the strings are divided from the first on, single fingers before barres."""
    bits = [(masks.astype(np.int64) >> string & 1) << (n_strings - string) for string in range(n_strings)]
    return np.asarray(np.sum(bits, axis=0), np.int64)


def _list_orders(packed: NDArray[np.int16], *, every: bool) -> Iterator[tuple[int, ...]]:
    """Yield the orders in which the fingers of a plan may be taken: fingers that share a fret may change places."""
    slots = range(len(packed))
    count = int((packed != NO_FINGER).sum())
    frets = (packed >> FRET_SHIFT).tolist()
    yield tuple(slots)
    for order in permutations(range(count)) if every and count <= 4 else ():
        taken = sorted(range(count), key=order.__getitem__)
        if order != tuple(range(count)) and all(frets[slot] == frets[other] for slot, other in enumerate(taken)):
            yield (*taken, *slots[count:])


def _weigh_same(columns: NDArray[np.int8], hand: Hand, *, thumb: bool) -> NDArray[np.float64]:
    """Weigh what is the same for every plan of a shape: strings that are not played, and the thumb."""
    cost = np.zeros((len(PART_NAMES), columns.shape[1]))
    if hand.picking == "pick":
        cost[PART_NAMES.index("muting")] = measure_muting(columns, np.float64)
    if thumb:
        cost[PART_NAMES.index("thumb")] = THUMB
        cost[PART_NAMES.index("beyond")] = float(FAILURE) * find_thumb_failures(columns, hand)
    return cost


def _settle(fingers: tuple[int, ...], packed: list[int], parts: list[float], *, is_natural: bool) -> _Way:
    """Tell what the hand lacks from what that costs."""
    *kept, beyond = parts
    failures, rest = divmod(beyond, float(FAILURE))
    return _Way(fingers, tuple(packed), (*kept, rest + BEYOND * (failures > 0)), int(failures), is_natural)


def _to_fingering(shape: Shape, way: _Way, fretboard: Fretboard, *, hand: Hand) -> Fingering:
    places = unpack_fingers(np.array(way.packed, np.int16))
    contacts = tuple(map(Contact, way.fingers, *(each.tolist() for each in places)))
    parts = tuple(zip(PART_NAMES, way.parts, strict=True))
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
