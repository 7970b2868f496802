"""The pattern of the picking hand: the commonest bar, or, where hands slip, the one that most bars all but play.

Whole bars agree rarely where many strokes are played: where one stroke of ten slips, .9 ^ 10 = .35 of bars of ten
strokes are the pattern, and .74 are it but for one. So each step of the bar is asked by itself whether it is struck.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from listen.evidence import Direction
from listen.reading import USUAL_SHARE, Event, PatternStroke, Stroke, StrummingPattern

LEAST_BARS = 2  # a bar alone is no pattern
STROKES_A_SLIP = 6  # a bar with one stroke of so many otherwise is nearly the pattern; judged
SURE_WAY, SUREST = 0.9, 0.99  # of a stroke that goes against its bars; that counts as sure in a vote; judged
_Place = tuple[int, bool]  # a step, and whether it is damped
_Bars = Mapping[int, Sequence[Stroke]]


def find_pattern(events: tuple[Event, ...]) -> StrummingPattern | None:
    """Find the pattern of the picking hand; None in free time and where no bar comes back.

    Bars of one rhythm decide together which way each of their strokes goes, since one alone often leaves it open; a bar
    in which the hand surely goes another way is a bar of its own.
    """
    bars: dict[int, list[Stroke]] = {}
    for event in events:
        for stroke in event.strokes:
            if stroke.position is not None and event.kind in ("strum", "picked", "hit"):
                bars.setdefault(stroke.position.bar, []).append(stroke)
    if not bars:
        return None
    rhythms = Counter(tuple(map(_place, bar)) for bar in bars.values())
    commonest = _describe(rhythms.most_common(1)[0][0], bars)
    if commonest.share < USUAL_SHARE:
        voted = _describe(_vote_rhythm(bars), bars)
        if voted.bars and voted.is_usual:
            return voted
    return commonest if len(commonest.bars) >= LEAST_BARS else None


def _vote_rhythm(bars: _Bars) -> tuple[_Place, ...]:
    """Return the steps that more than half of the bars strike, damped where most of these strokes are."""
    struck = Counter(step for bar in bars.values() for step in {_place(stroke)[0] for stroke in bar})
    damped = Counter(step for bar in bars.values() for step, is_muted in {_place(stroke) for stroke in bar} if is_muted)
    return tuple((step, 2 * damped[step] > n) for step, n in sorted(struck.items()) if 2 * n > len(bars))


def _describe(rhythm: tuple[_Place, ...], bars: _Bars) -> StrummingPattern:
    """Return a rhythm with its ways and kinds, and the bars that are played so or nearly so."""
    slips = {number: _count_slips(map(_place, bar), rhythm) for number, bar in bars.items()}
    most = len(rhythm) // STROKES_A_SLIP
    struck: dict[_Place, list[Stroke]] = {}
    for number, bar in bars.items():
        for stroke in bar if slips[number] <= most else ():
            struck.setdefault(_place(stroke), []).append(stroke)
    ways = {place: _vote(struck.get(place, ())) for place in rhythm}
    for number, bar in bars.items():
        slips[number] += sum(_goes_otherwise(stroke, ways.get(_place(stroke))) for stroke in bar)
    own = tuple(number for number, n in slips.items() if n == 0)
    return StrummingPattern(
        tuple(
            PatternStroke(place[0], ways[place], Counter(one.kind for one in struck[place]).most_common(1)[0][0])
            for place in rhythm
            if place in struck
        ),
        own,
        len(own) / len(bars),
        tuple(number for number, n in slips.items() if 0 < n <= most),
    )


def _count_slips(played: Iterable[_Place], rhythm: Iterable[_Place]) -> int:
    """Count the strokes that are left out or added; one that moved is one, and so is one that is damped or not."""
    has, wanted = Counter(played), Counter(rhythm)
    return max((wanted - has).total(), (has - wanted).total())


def _place(stroke: Stroke) -> _Place:
    return -1 if stroke.position is None else stroke.position.step, stroke.kind == "muted"


def _vote(strokes: Sequence[Stroke]) -> Direction | None:
    """Return which way most of the evidence says that strokes go; None where none says anything."""
    said = [
        (1.0 if one.direction == "down" else -1.0) * math.log(sure / (1.0 - sure))
        for one in strokes
        if one.direction is not None and (sure := min(one.direction_probability, SUREST))
    ]
    return None if not said else "down" if sum(said) >= 0.0 else "up"


def _goes_otherwise(stroke: Stroke, way: Direction | None) -> bool:
    return way is not None and stroke.direction not in (None, way) and stroke.direction_probability >= SURE_WAY
