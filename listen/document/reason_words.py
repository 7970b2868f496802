"""Reasons in words, as documents hold them and as people read them: the one place where they are made.

Conventions: one reason is one clause without a stop. A document holds the clause, so that it is read back here too; one
that this program would not have written is kept as it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache

from listen.instrument import Fingering, Reason, ReasonKind

FINGER_NAMES = {0: "thumb", 1: "index", 2: "middle", 3: "ring", 4: "little"}
NUMBER_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_PLAIN: dict[ReasonKind, str] = {
    "thumb": "thumb over the lowest string",
    "unused thumb": "thumb over the lowest string, which this hand does not use",
    "silent string under a barre": "a barre over a string that must stay silent",
    "crowded": "fingers crowded together",
    "crossing": "one finger over another",
    "high": "high on the neck",
    "open strings": "open strings",
    "one open string": "one open string",
}
_STRETCH = re.compile(r"stretch of (\d{1,4}) mm between (\w+) and (\w+) finger(, too far for this hand)?")


def reason_text(reason: Reason) -> str:
    """Put a reason into words.

    Examples
    --------
    >>> reason_text(Reason("stretch", (88,), (1, 4)))
    'stretch of 88 mm between index and little finger'
    >>> reason_text(Reason("same form", (2, 0)))
    'same form, two frets up'
    """
    return _PLAIN[reason.kind] if reason.kind in _PLAIN else _WORDS[reason.kind](reason)


def reasons_text(fingering: Fingering) -> str:
    """Put why a fingering is easy or hard into words, commas between."""
    return ", ".join(map(reason_text, fingering.reasons))


def parse_reason(text: str) -> Reason:
    """Take a reason from its words; those that are unknown stay words.

    Examples
    --------
    >>> parse_reason("stretch of 88 mm between index and little finger").amounts
    (88,)
    >>> parse_reason("looks odd").kind
    'written'
    """
    known = _tabulate_reasons().get(text)
    if known is not None:
        return known
    found = _STRETCH.fullmatch(text)
    number = {name: finger for finger, name in FINGER_NAMES.items()}
    if found is not None and found[2] in number and found[3] in number:
        kind: ReasonKind = "too far" if found[4] else "stretch"
        return Reason(kind, (int(found[1]),), (number[found[2]], number[found[3]]))
    return Reason("written", words=text)


@lru_cache(maxsize=1)
def _tabulate_reasons() -> dict[str, Reason]:
    """Tabulate every reason of a fingering that has few amounts, by its words."""
    most = range(len(NUMBER_WORDS))
    reasons = [Reason(kind) for kind in _PLAIN]
    reasons += [Reason("fingers", (count,)) for count in most]
    reasons += [Reason("too many fingers", (count,)) for count in most[5:]]
    reasons += [Reason("barre", (width,), (finger,)) for width in most[2:] for finger in (1, 2, 3, 4)]
    reasons += [Reason("inner strings to damp", (count,)) for count in most[1:]]
    reasons += [Reason("strings left out", (low, high)) for low in most for high in most if low or high]
    return {reason_text(reason): reason for reason in reasons}


def _count(number: int, noun: str) -> str:
    word = NUMBER_WORDS[number] if number < len(NUMBER_WORDS) else str(number)
    return f"{word} {noun}{'s' * (number != 1)}"


def _finger(reason: Reason) -> str:
    return f"{FINGER_NAMES[reason.fingers[0]]} finger"


def _stretch(reason: Reason) -> str:
    one, other = (FINGER_NAMES[finger] for finger in reason.fingers)
    return f"stretch of {reason.amounts[0]} mm between {one} and {other} finger"


def _left_out(reason: Reason) -> str:
    sides = zip(reason.amounts, ("low", "high"), strict=True)
    return f"{' and '.join(_count(count, f'{side} string') for count, side in sides if count)} left out"


def _same_form(reason: Reason) -> str:
    frets, strings = reason.amounts
    along = [f"{_count(abs(frets), 'fret')} {'up' if frets > 0 else 'down'}"] if frets else []
    across = [f"{_count(abs(strings), 'string')} over"] if strings else []
    return f"same form, {' and '.join(along + across)}"


def _travel(reason: Reason) -> str:
    (distance_mm,) = reason.amounts
    return f"the hand moves {abs(distance_mm)} mm {'up' if distance_mm > 0 else 'down'}"


def _stays(reason: Reason) -> str:
    (count,) = reason.amounts
    return f"{_count(count, 'finger')} {'stay' if count > 1 else 'stays'}"


def _little_time(reason: Reason) -> str:
    there_s, needed_s = (amount / 1000 for amount in reason.amounts)
    return f"little time: {there_s:.2f} s for what takes about {needed_s:.2f} s"


_WORDS: dict[ReasonKind, Callable[[Reason], str]] = {
    "written": lambda reason: reason.words,
    "fingers": lambda reason: _count(reason.amounts[0], "finger") if reason.amounts[0] else "nothing to hold",
    "too many fingers": lambda reason: f"needs {_count(reason.amounts[0], 'finger')}",
    "barre": lambda reason: f"{FINGER_NAMES[reason.fingers[0]]} barre over {_count(reason.amounts[0], 'string')}",
    "stretch": _stretch,
    "too far": lambda reason: f"{_stretch(reason)}, too far for this hand",
    "inner strings to damp": lambda reason: f"{_count(reason.amounts[0], 'inner string')} to damp",
    "strings left out": _left_out,
    "stays": _stays,
    "goes flat": lambda reason: f"{_finger(reason)} goes flat for a barre",
    "slides": lambda reason: f"{_finger(reason)} slides along its string",
    "to place": lambda reason: f"{_count(reason.amounts[0], 'finger')} to place",
    "same form": _same_form,
    "travel": _travel,
    "little time": _little_time,
}
