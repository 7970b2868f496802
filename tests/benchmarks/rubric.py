"""The published rubric for how hard a chord is on the guitar, as far as it speaks of one shape.

Conventions: levels 0 (easiest) to 3 as in the paper, for a fingering as it stands, so that a shape can be rated by the
finger numbers that a book prints and not by ours. Of its six criteria three speak of a shape; how uncommon the chord
is, how often it repeats and how fast it changes do not. Effort is not made from these levels; a report compares the
order of the two.

References
----------
M. A. Vélez Vásquez, M. Baelemans, J. Driedger, W. Zuidema, J. A. Burgoyne, "Quantifying the ease of playing song
chords on the guitar", ISMIR 2023 (rules and weights; the wording here is ours).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from listen.instrument import Finger, Shape

HIGHEST_LEVEL = 3
POSITIONING_WEIGHT, FINGERING_WEIGHT, RIGHT_HAND_WEIGHT = 3, 2, 2


@dataclass(frozen=True, slots=True)
class Rubric:
    """Levels of one shape, 0..3.

    Parameters
    ----------
    positioning : float
        The spread: highest less lowest stopped fret.
    fingering : float
        Half a level for each finger, and half when one holds more than a string.
    right_hand : float
        0 every string struck, 1 only outer strings left out, 2 one inner string, 3 more.
    """

    positioning: float
    fingering: float
    right_hand: float

    @property
    def score(self) -> float:
        """The three levels weighed as in the paper, 0..3."""
        weighed = POSITIONING_WEIGHT * self.positioning + FINGERING_WEIGHT * self.fingering
        weighed += RIGHT_HAND_WEIGHT * self.right_hand
        return weighed / (POSITIONING_WEIGHT + FINGERING_WEIGHT + RIGHT_HAND_WEIGHT)


def rate_by_rubric(shape: Shape, fingers: Sequence[Finger]) -> Rubric:
    """Rate a shape with given finger numbers.

    Parameters
    ----------
    shape : Shape
    fingers : sequence of Finger
        One a string; 0 or None where none presses.

    Examples
    --------
    >>> from listen.instrument import parse_shape
    >>> rate_by_rubric(parse_shape("133211"), (1, 3, 4, 2, 1, 1))
    Rubric(positioning=2, fingering=2.5, right_hand=0)
    """
    stopped = [fret for fret in shape.frets if fret]
    spread = max(stopped) - min(stopped) if stopped else 0
    used = [finger for finger, fret in zip(fingers, shape.frets, strict=True) if fret and finger]
    several = len(used) > len(set(used))
    return Rubric(
        min(HIGHEST_LEVEL, spread),
        min(HIGHEST_LEVEL, 0.5 * len(set(used)) + 0.5 * several),
        _rate_right_hand(shape),
    )


def _rate_right_hand(shape: Shape) -> int:
    played = [index for index, fret in enumerate(shape.frets) if fret is not None]
    if not played or len(played) == len(shape.frets):
        return 0
    inner = played[-1] - played[0] + 1 - len(played)
    return min(HIGHEST_LEVEL, 1 + inner)
