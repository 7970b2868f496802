"""Another good way to hold a shape, where players know two: other fingers, one laid flat, or the thumb.

Common practice, no source: G as 2-1-3 or 3-2-4, A with three fingers or one laid flat, D/F♯ with the thumb.
"""

from __future__ import annotations

from listen.instrument.fingering import find_fingerings
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import Hand
from listen.instrument.shape import Fingering, Shape

AS_GOOD = 0.3  # points of effort over the best (judged on the grips above, not measured)
AS_GOOD_FLAT = 0.7  # the same where one way lays a finger flat and the other does not
_LOOKED_AT = 6


def find_other_fingering(shape: Shape, fretboard: Fretboard, *, hand: Hand) -> Fingering | None:
    """Find a way as good as the best that differs from it in kind.

    Returns
    -------
    Fingering or None
        One in which every string is held by another finger, or which lays a finger flat where the best does not, or
        the reverse, or which takes the thumb in; the easiest of these.

    Examples
    --------
    >>> from listen.instrument import USUAL_HAND, parse_shape
    >>> other = find_other_fingering(parse_shape("320003"), Fretboard(), hand=USUAL_HAND)
    >>> other.fingers if other else None
    (3, 2, 0, 0, 0, 4)
    """
    best, *others = find_fingerings(shape, fretboard, hand=hand, limit=_LOOKED_AT)
    for other in others:
        flat = bool(other.barres) != bool(best.barres)
        thumbed = ("T" in other.fingers) != ("T" in best.fingers)
        pairs = zip(best.fingers, other.fingers, strict=True)
        shifted = all(one != another for one, another in pairs if one not in (0, None))
        within = AS_GOOD_FLAT if flat else AS_GOOD
        if other.playable and (flat or thumbed or shifted) and other.effort <= best.effort + within:
            return other
    return None
