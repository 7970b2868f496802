"""The stroke at which begins what a person told by bar and beat: one finding for the reading and for later changes.

It is the first stroke with a pitch in the bar from that beat on. Where nothing is struck at the beat, and a chord that
sounds from there on began less than a beat before it, off the beat, it is the stroke with which that chord began.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from listen.reading.bars import Bars
from listen.reading.event import STEPS_PER_BEAT, GridPosition
from listen.reading.settled import Correction, Pin


@dataclass(frozen=True, slots=True)
class StruckPlace:
    """A stroke, and the chord that it sounds.

    Parameters
    ----------
    position : GridPosition
    chord : hashable or None
        Equal for strokes of one chord; None for a stroke without pitch.
    until_s : float
        How long that chord rings.
    """

    position: GridPosition
    chord: Hashable | None
    until_s: float = 0.0


def find_told_stroke(told: Pin | Correction, struck: Sequence[StruckPlace], bars: Bars) -> int | None:
    """Find at which stroke begins what was told by bar and beat.

    Parameters
    ----------
    told : Pin or Correction
    struck : sequence of StruckPlace
        All strokes in time order.
    bars : Bars

    Returns
    -------
    int or None
        The place of the stroke in ``struck``. A pin without a stroke holds what rings on (:func:`find_ringing_stroke`).
    """
    if told.bar is None or not bars.has_beat(told.bar, told.beat):
        return None
    place = (told.bar, round((told.beat - 1) * STEPS_PER_BEAT))
    pitched = [at for at, one in enumerate(struck) if one.chord is not None]
    in_bar = [at for at in pitched if struck[at].position.bar == told.bar]
    after = next((at for at in in_bar if struck[at].position.step >= place[1]), None)
    pushed = _find_pushed(place, struck, bars)
    if pushed is not None and (after is None or struck[after].chord == struck[pushed].chord):
        return pushed
    if after is not None or not isinstance(told, Pin):
        return after
    return find_ringing_stroke(told, struck, bars)


def find_ringing_stroke(told: Pin | Correction, struck: Sequence[StruckPlace], bars: Bars) -> int | None:
    """Find the stroke that rings on where something was told and nothing is struck.

    Parameters
    ----------
    told, struck, bars
        As for :func:`find_told_stroke`.

    Returns
    -------
    int or None
        The last stroke with a pitch before it in the bar, or before the bar where that chord rings into it.
    """
    if told.bar is None:
        return None
    pitched, step = [at for at, one in enumerate(struck) if one.chord is not None], (told.beat - 1) * STEPS_PER_BEAT
    in_bar = [at for at in pitched if struck[at].position.bar == told.bar and struck[at].position.step < round(step)]
    if in_bar:
        return in_bar[-1]
    before = [at for at in pitched if struck[at].position.bar < told.bar]
    line = told.bar - bars.first_bar
    is_ringing = 0 <= line < len(bars.lines_s) - 1 and bool(before) and struck[before[-1]].until_s > bars.lines_s[line]
    return before[-1] if is_ringing else None


def _find_pushed(place: tuple[int, int], struck: Sequence[StruckPlace], bars: Bars) -> int | None:
    """Find a stroke with which a chord begins, off the beat, less than one ahead of a place where nothing is struck."""
    places = [(one.position.bar, one.position.step) for one in struck]
    if place in places:
        return None
    at = max((at for at, one in enumerate(places) if one < place), default=None)
    if at is None or places[at][1] % STEPS_PER_BEAT == 0 or struck[at].chord is None:
        return None
    begins = next(first for first, one in enumerate(struck) if one.chord == struck[at].chord)
    ahead = bars.count_between(struck[at].position, GridPosition(*place))
    return at if begins == at and ahead < STEPS_PER_BEAT else None
