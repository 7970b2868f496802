"""Reasons: why a fingering is easy or hard, in words for a player."""

from __future__ import annotations

from listen.instrument.effort import HIGH, HIGH_FRET, Contact, count_sounding, list_stretched_pairs
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import GREATEST_SHARE, Hand, estimate_stretch_mm
from listen.instrument.shape import Fingering, Shape

FINGER_NAMES = {0: "thumb", 1: "index", 2: "middle", 3: "ring", 4: "little"}
NUMBER_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
NEAR_LIMIT = 0.9  # share of a pair's greatest stretch from which it is named and cautioned
WORTH_SAYING = 0.3  # a part of the effort below this needs no words
_STRETCH = "stretch of"
STRAIN_CAUTION = (
    "A wide stretch for this hand: warm up, keep it short, and stop when it hurts; "
    "if pain stays, see a teacher or a clinician."
)


def caution_for(fingering: Fingering) -> str | None:
    """Return the caution to show beside a fingering near the hand's limit, or None.

    Examples
    --------
    >>> from listen.instrument import Fretboard, best_fingering, parse_shape
    >>> caution_for(best_fingering(parse_shape("x32010"), Fretboard())) is None
    True
    """
    return STRAIN_CAUTION if any(reason.startswith(_STRETCH) for reason in fingering.reasons) else None


def explain_fingering(
    shape: Shape,
    contacts: tuple[Contact, ...],
    parts: tuple[tuple[str, float], ...],
    fretboard: Fretboard,
    *,
    hand: Hand,
) -> tuple[str, ...]:
    """Say why a fingering is easy or hard, the most telling reason first."""
    cost = dict(parts)
    said: list[tuple[float, str]] = []
    fingers = [contact for contact in contacts if contact.finger]
    if len(fingers) > 4:
        said.append((100.0, f"needs {NUMBER_WORDS[len(fingers)]} fingers"))
    if count_sounding(shape, contacts, hand=hand):
        said.append((70.0, "a barre over a string that must stay silent"))
    if any(contact.finger == 0 for contact in contacts):
        told = "thumb over the lowest string" + ("" if hand.thumb else ", which this hand does not use")
        said.append((50.0 if cost["beyond"] and not hand.thumb else cost["thumb"], told))
    said += [(0.8, _name_barre(contact)) for contact in contacts if contact.is_barre]
    said += _explain_stretch(fingers, fretboard, hand=hand)
    said += _explain_muting(shape, cost["muting"])
    if cost["crowding"] >= WORTH_SAYING:
        said.append((cost["crowding"], "fingers crowded together"))
    if cost["crossing"] >= WORTH_SAYING:
        said.append((cost["crossing"], "one finger over another"))
    highest = max((contact.fret for contact in contacts), default=0) + fretboard.capo_fret
    if HIGH * (highest - HIGH_FRET) >= WORTH_SAYING:
        said.append((cost["position"], "high on the neck"))
    n_open = sum(fret == 0 for fret in shape.frets)
    if n_open:
        said.append((0.25, "open strings" if n_open > 1 else "one open string"))
    said.append((0.2, _count_fingers(len(fingers))))
    said.sort(key=lambda item: -item[0])
    return tuple(text for _, text in said)


def _count_fingers(count: int) -> str:
    if count == 0:
        return "nothing to hold"
    return f"{NUMBER_WORDS[count]} finger{'s' if count > 1 else ''}"


def _name_barre(contact: Contact) -> str:
    width = contact.last_string - contact.first_string + 1
    return f"{FINGER_NAMES[contact.finger]} barre over {NUMBER_WORDS[width]} strings"


def _explain_stretch(fingers: list[Contact], fretboard: Fretboard, *, hand: Hand) -> list[tuple[float, str]]:
    """Name the pair that is nearest to its limit, where it is near."""
    worst, told = 0.0, ""
    for low, high in list_stretched_pairs(min(4, len(fingers))):
        one, other = fingers[low], fingers[high]
        if one.finger >= other.finger or other.fret <= one.fret:
            continue
        apart = max(0, one.first_string - other.last_string, other.first_string - one.last_string)
        distance = estimate_stretch_mm(fretboard, fret=one.fret, higher_fret=other.fret, strings_apart=apart)
        share = distance / (hand.reach_mm * GREATEST_SHARE[one.finger, other.finger])
        if share > worst:
            names = f"{FINGER_NAMES[one.finger]} and {FINGER_NAMES[other.finger]} finger"
            worst, told = share, f"{_STRETCH} {distance:.0f} mm between {names}"
    if worst > 1.0:
        return [(60.0, f"{told}, too far for this hand")]
    return [(3.0 * worst**2, told)] if worst >= NEAR_LIMIT else []


def _explain_muting(shape: Shape, cost: float) -> list[tuple[float, str]]:
    played = [index for index, fret in enumerate(shape.frets) if fret is not None]
    if not played or not cost:
        return []
    first, last = played[0], played[-1]
    inner = sum(shape.frets[index] is None for index in range(first, last))
    said: list[tuple[float, str]] = []
    if inner:
        said.append((cost, f"{NUMBER_WORDS[inner]} inner string{'s' if inner > 1 else ''} to damp"))
    beyond = len(shape.frets) - 1 - last
    if first or beyond:
        where = " and ".join(
            f"{NUMBER_WORDS[count]} {side} string{'s' if count > 1 else ''}"
            for count, side in ((first, "low"), (beyond, "high"))
            if count
        )
        said.append((0.15, f"{where} left out"))
    return said
