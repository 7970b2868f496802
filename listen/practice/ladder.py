"""The ladder: kinds of question in the order in which they are learnt, and when the next one opens.

A step opens when the one below holds: enough answers, and a level that a guess does not reach.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from listen.errors import bad_value
from listen.practice.staircase import Staircase

LADDER = (
    "same bass",
    "root or not",
    "which bass",
    "which bass of four",
    "foreign bass",
    "which came first",
    "bass line",
    "quality",
    "other place",
)
DEGREE_KINDS = ("which bass", "which bass of four")  # which ask for the tone that is in the bass
HUMMED_KINDS = ("root or not", *DEGREE_KINDS, "foreign bass")
"""Which a hummed bass answers: they ask about the bass of one chord, and whoever hums it says which tone it is."""
PLAYED_KINDS = (*HUMMED_KINDS, "quality")
"""Which a chord played back answers. Where chords are compared, one of them played back says nothing."""
YES_NO_KINDS = ("same bass", "root or not", "foreign bass", "other place")
"""Which yes or no answers: their first answer is yes, their second no."""
NAMED_KINDS = (*DEGREE_KINDS, "quality")
"""Which a chord's name answers. Where chords or basses are compared, no name says which answer is meant."""
ABOUT = {
    "same bass": "one chord twice: the same bass, or another",
    "root or not": "the root in the bass, or another tone",
    "which bass": "root, third or fifth in the bass",
    "which bass of four": "root, third, fifth or seventh in the bass of a seventh chord",
    "foreign bass": "a bass that is a tone of the chord, or none (C/D)",
    "which came first": "two inversions: which came first",
    "bass line": "the bass line of a progression, by degrees of the key",
    "quality": "what kind of chord it is",
    "other place": "two places on the neck: the same chord, or another",
}
ABOUT_INVERSIONS = (
    "Of these, 'which bass', 'which bass of four' and 'which came first' ask which inversion sounds, "
    "'root or not' whether one does."
)
HOLDS_LEVEL, HOLDS_ANSWERS = 4.0, 12
"""Judged, not measured: at that level strokes are as quick as in slow strumming, the bass no louder than the rest."""


def find_open_kinds(answers: Iterable[tuple[str, bool]]) -> tuple[str, ...]:
    """Return the kinds that are open to a player, in the order of the ladder.

    A step is open where the one below holds, or it holds itself; what once held stays so. A step that was asked because
    the player chose it is no more open for that.

    Parameters
    ----------
    answers : iterable of (str, bool)
        The kind of each answer that was given, and whether it was right, in their order.

    Examples
    --------
    >>> find_open_kinds([])
    ('same bass',)
    >>> find_open_kinds([("same bass", True)] * 12)
    ('same bass', 'root or not')
    """
    stairs: dict[str, Staircase] = {}
    held = set()
    for kind, is_right in answers:
        stairs[kind] = now = stairs.get(kind, Staircase()).answered(right=is_right)
        if now.level >= HOLDS_LEVEL and now.n_answers >= HOLDS_ANSWERS:
            held.add(kind)
    below = ("", *LADDER[:-1])
    return tuple(kind for kind, lower in zip(LADDER, below, strict=True) if not lower or held & {kind, lower})


def find_shut_step(answers: Iterable[tuple[str, bool]]) -> tuple[str, str, Staircase] | None:
    """Return the lowest step that is shut, the step below that opens it, and how that stands; None where all are open.

    Parameters
    ----------
    answers : iterable of (str, bool)
        As :func:`find_open_kinds` takes them.
    """
    given = list(answers)
    opened = find_open_kinds(given)
    for below, kind in pairwise(LADDER):
        if kind not in opened:
            stairs = Staircase()
            for _, is_right in (one for one in given if one[0] == below):
                stairs = stairs.answered(right=is_right)
            return kind, below, stairs
    return None


def check_kind(kind: str) -> str:
    """Return a kind of question as the ladder spells it.

    Raises
    ------
    BadValueError
        There is no such kind.
    """
    wanted = " ".join(kind.lower().replace("-", " ").split())
    if wanted not in LADDER:
        remedy = ABOUT_INVERSIONS if "inversion" in wanted else ""
        raise bad_value("kind", kind, allowed=", ".join(LADDER), remedy=remedy)
    return wanted
