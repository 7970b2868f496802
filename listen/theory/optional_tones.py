"""Which tones of a chord a player may leave out, and which never sound together, for any list of degrees.

The rules (common practice of guitar and keyboard voicing, no source; Levine, *The Jazz Theory Book*, 1995, teaches the
same, from memory):

* only a perfect fifth goes, an altered one never; it stays where nothing else tells the chord: in a power chord, a
  suspended triad or second, and beside a raised eleventh without a seventh, which would pass for a flat fifth;
* the third and the seventh stay, save that an eleventh drops its major third, which clashes with the eleventh;
* under a higher extension the natural ninth may go, and under a thirteenth the natural eleventh; what is altered stays,
  it is what the name says;
* beside a major third a thirteenth never holds the natural eleventh.
"""

from __future__ import annotations

from collections.abc import Collection

from listen.theory.interval import Interval

_MAJOR_THIRD, _FIFTH, _NINTH, _ELEVENTH = Interval(3), Interval(5), Interval(9), Interval(11)


def find_avoided(tones: Collection[Interval]) -> tuple[Interval, ...]:
    """Return the tones that the name counts and no voicing holds: the natural eleventh of a thirteenth chord.

    Examples
    --------
    >>> [str(tone) for tone in find_avoided([Interval.parse(each) for each in "1 3 5 b7 9 11 13".split()])]
    ['11']
    """
    has_thirteenth = any(tone.degree == 13 for tone in tones)
    clashes = has_thirteenth and _MAJOR_THIRD in tones and _ELEVENTH in tones
    return (_ELEVENTH,) if clashes else ()


def find_optional(tones: Collection[Interval]) -> tuple[Interval, ...]:
    """Return the tones that may be left out, the first to go first.

    Examples
    --------
    >>> def optional(text):
    ...     return [str(tone) for tone in find_optional([Interval.parse(each) for each in text.split()])]
    >>> optional("1 3 #5 b7 9 11 13"), optional("1 3 5 b7 9 11"), optional("1 b3 5 b7 9 11"), optional("1 4 5")
    (['11', '9'], ['3', '5', '9'], ['5', '9'], [])
    """
    avoided = find_avoided(tones)
    drops_third = _MAJOR_THIRD in tones and _ELEVENTH in tones and _is_extended(tones, 11) and not avoided
    third = (_MAJOR_THIRD,) if drops_third else ()
    fifth = (_FIFTH,) if _FIFTH in tones and _can_lose_fifth(tones) else ()
    ninth = (_NINTH,) if _NINTH in tones and _is_extended(tones, 11) else ()
    under_thirteenth = _ELEVENTH in tones and not avoided and any(tone.degree == 13 for tone in tones)
    eleventh = (_ELEVENTH,) if under_thirteenth else ()
    return (*avoided, *third, *eleventh, *fifth, *ninth)


def _can_lose_fifth(tones: Collection[Interval]) -> bool:
    degrees = {tone.degree for tone in tones}
    has_seventh = bool(degrees & {6, 7})
    if 3 in degrees:
        return has_seventh or Interval(11, 1) not in tones
    return has_seventh and 4 in degrees


def _is_extended(tones: Collection[Interval], degree: int) -> bool:
    """Tell whether a seventh chord goes on to this degree or beyond by way of its ninth."""
    degrees = {tone.degree for tone in tones}
    return {7, 9} <= degrees and any(each >= degree for each in degrees)
