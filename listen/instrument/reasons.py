"""Reasons: why a fingering is easy or hard, as values; :func:`listen.document.reason_text` puts them into words."""

from __future__ import annotations

from listen.instrument.contact import Contact, list_stretched_pairs
from listen.instrument.effort import HIGH, HIGH_FRET
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import GREATEST_SHARE, Hand, estimate_stretch_mm
from listen.instrument.shape import Fingering, Reason, Shape

NEAR_LIMIT = 0.9  # share of a pair's greatest stretch from which it is named and cautioned
WORTH_SAYING = 0.3  # a part of the effort below this needs no words
STRAINS = frozenset({"stretch", "too far"})


def is_strain(fingering: Fingering) -> bool:
    """Tell whether a fingering is near the hand's limit, so that a caution belongs beside it.

    Examples
    --------
    >>> from listen.instrument import Fretboard, best_fingering, parse_shape
    >>> is_strain(best_fingering(parse_shape("x32010"), Fretboard()))
    False
    """
    return any(reason.kind in STRAINS for reason in fingering.reasons)


def explain_fingering(
    shape: Shape,
    contacts: tuple[Contact, ...],
    parts: tuple[tuple[str, float], ...],
    fretboard: Fretboard,
    *,
    hand: Hand,
) -> tuple[Reason, ...]:
    """Say why a fingering is easy or hard, the most telling reason first."""
    cost = dict(parts)
    said: list[tuple[float, Reason]] = []
    fingers = [contact for contact in contacts if contact.finger]
    if len(fingers) > 4:
        said.append((100.0, Reason("too many fingers", (len(fingers),))))
    if _count_sounding(shape, contacts, hand=hand):
        said.append((70.0, Reason("silent string under a barre")))
    if any(contact.finger == 0 for contact in contacts):
        weight = 50.0 if cost["beyond"] and not hand.thumb else cost["thumb"]
        said.append((weight, Reason("thumb" if hand.thumb else "unused thumb")))
    said += [
        (0.8, Reason("barre", (contact.last_string - contact.first_string + 1,), (contact.finger,)))
        for contact in contacts
        if contact.is_barre
    ]
    said += _explain_stretch(fingers, fretboard, hand=hand)
    said += _explain_muting(shape, cost["muting"])
    if cost["crowding"] >= WORTH_SAYING:
        said.append((cost["crowding"], Reason("crowded")))
    if cost["crossing"] >= WORTH_SAYING:
        said.append((cost["crossing"], Reason("crossing")))
    highest = max((contact.fret for contact in contacts), default=0) + fretboard.capo_fret
    if HIGH * (highest - HIGH_FRET) >= WORTH_SAYING:
        said.append((cost["position"], Reason("high")))
    n_open = sum(fret == 0 for fret in shape.frets)
    if n_open:
        said.append((0.25, Reason("open strings" if n_open > 1 else "one open string")))
    said.append((0.2, Reason("fingers", (len(fingers),))))
    said.sort(key=lambda item: -item[0])
    return tuple(reason for _, reason in said)


def _count_sounding(shape: Shape, contacts: tuple[Contact, ...], *, hand: Hand) -> int:
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


def _explain_stretch(fingers: list[Contact], fretboard: Fretboard, *, hand: Hand) -> list[tuple[float, Reason]]:
    """Name the pair that is nearest to its limit, where it is near."""
    worst, distance_mm, pair = 0.0, 0.0, (1, 1)
    for low, high in list_stretched_pairs(min(4, len(fingers))):
        one, other = fingers[low], fingers[high]
        if one.finger >= other.finger or other.fret <= one.fret:
            continue
        apart = max(0, one.first_string - other.last_string, other.first_string - one.last_string)
        distance = estimate_stretch_mm(fretboard, fret=one.fret, higher_fret=other.fret, strings_apart=apart)
        share = distance / (hand.reach_mm * GREATEST_SHARE[one.finger, other.finger])
        if share > worst:
            worst, distance_mm, pair = share, distance, (one.finger, other.finger)
    if worst > 1.0:
        return [(60.0, Reason("too far", (round(distance_mm),), pair))]
    return [(3.0 * worst**2, Reason("stretch", (round(distance_mm),), pair))] if worst >= NEAR_LIMIT else []


def _explain_muting(shape: Shape, cost: float) -> list[tuple[float, Reason]]:
    played = [index for index, fret in enumerate(shape.frets) if fret is not None]
    if not played or not cost:
        return []
    first, last = played[0], played[-1]
    inner = sum(shape.frets[index] is None for index in range(first, last))
    beyond = len(shape.frets) - 1 - last
    said = [(cost, Reason("inner strings to damp", (inner,)))] if inner else []
    return [*said, (0.15, Reason("strings left out", (first, beyond)))] if first or beyond else said
