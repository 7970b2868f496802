"""What a set of notes may be called, over its own bass and before spelling.

Two notes are an interval first, a root and its fifth a power chord, a bare fourth the power chord's inversion.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.harmony.relative_name import RelativeName
from listen.harmony.scoring import SHARPNESS, score_sets
from listen.theory import Interval, Key, Pitch, degrees_to_quality

_OUTSIDE_KEY = 0.5  # points for a root that is no tone of the key, where one is given
_OTHER_DYAD_READING = 1.5  # points for hearing two notes as a chord without its fifth, against the interval itself
UNNAMED = 8.0  # points: beyond any name
_TRIADS = ("", "m")
_INTERVALS = tuple(
    degrees_to_quality((Interval(1), Interval.parse(degree)))
    for degree in ("b2", "2", "b3", "3", "4", "b5", "5", "b6", "6", "b7", "7")
)
_POWER_CHORD = _INTERVALS[6]


@dataclass(frozen=True, slots=True)
class NameCandidate:
    """A name for one set over its own bass, before spelling."""

    bass: int
    name: RelativeName
    dyad: tuple[Pitch, Pitch] | None = None

    @property
    def root(self) -> int:
        """The pitch class of the root."""
        return (self.bass + self.name.root) % 12

    @property
    def identity(self) -> tuple[int, int, str, tuple[Interval, ...]]:
        """What makes two candidates, of whichever sets, one name."""
        return self.name.root, self.bass, self.name.base.symbol, self.name.changed_to


def find_name_candidates(sets: Sequence[tuple[Pitch, ...]]) -> list[list[NameCandidate]]:
    """Return the candidates of each set, cheapest first."""
    midis = [sorted(pitch.midi for pitch in pitches) for pitches in sets]
    kinds = [find_kind(midi) for midi in midis]
    named = iter(score_sets([kind for kind in kinds if kind is not None]))
    return [[] if kind is None else _place(midi, next(named)) for midi, kind in zip(midis, kinds, strict=True)]


def measure_plainness(sets: Sequence[Sequence[int]]) -> tuple[float, ...]:
    """Measure how plainly sets of pitches are named: the cost of the plainest name of each, in points.

    Parameters
    ----------
    sets : sequence of sequence of int
        MIDI numbers, low to high.

    Returns
    -------
    tuple of float
        0 for a triad in root position, about 1 for an inversion; :data:`UNNAMED` where a set has no name.

    Examples
    --------
    >>> measure_plainness([(48, 52, 55), (52, 55, 60), (48, 49, 50)])
    (0.0, 0.9, 8.0)
    """
    kinds = [find_kind(sorted(midis)) for midis in sets]
    named = iter(score_sets([kind for kind in kinds if kind is not None]))
    return tuple(UNNAMED if kind is None else next((name.cost for name in next(named)), UNNAMED) for kind in kinds)


def weigh_candidates(candidates: list[NameCandidate], key: Key | None) -> list[float]:
    """Return the probabilities of the candidates of one set."""
    if not candidates:
        return []
    inside = frozenset(range(12)) if key is None else key.pitch_classes
    costs = [candidate.name.cost + (0.0 if candidate.root in inside else _OUTSIDE_KEY) for candidate in candidates]
    least = min(costs)
    weights = [math.exp(-SHARPNESS * (cost - least)) for cost in costs]
    total = sum(weights)
    return [weight / total for weight in weights]


def find_kind(midi: list[int]) -> tuple[int, bool] | None:
    """Return the mask over the bass, and whether the bass is doubled above; None below two pitch classes."""
    if not midi:
        return None
    mask, doubled = 1, False
    for number in midi:
        step = (number - midi[0]) % 12
        doubled = doubled or (step == 0 and number != midi[0])
        mask |= 1 << step
    return None if mask == 1 else (mask, doubled)


def _place(midi: list[int], names: tuple[RelativeName, ...]) -> list[NameCandidate]:
    """Put the names of a kind of set over the bass of the set; two pitch classes are an interval first."""
    bass = midi[0] % 12
    classes = {number % 12 for number in midi}
    return _dyads(midi, names) if len(classes) == 2 else [NameCandidate(bass, name) for name in names]


def _dyads(midi: list[int], names: tuple[RelativeName, ...]) -> list[NameCandidate]:
    low = Pitch(midi[0])
    high = Pitch(next(number for number in midi if number % 12 != low.pitch_class))
    step = (high.midi - low.midi) % 12
    interval = NameCandidate(low.pitch_class, RelativeName(0, _INTERVALS[step - 1], 0.0), dyad=(low, high))
    if step == 7:
        return [NameCandidate(low.pitch_class, RelativeName(0, _POWER_CHORD, 0.0))]
    if step == 5:
        power = NameCandidate(low.pitch_class, RelativeName(5, _POWER_CHORD, 0.0))
        return [power, _dearer(interval)]
    rest = (
        NameCandidate(low.pitch_class, name) for name in names if name.base.symbol in _TRIADS and not name.unexplained
    )
    return [interval, *(_dearer(other) for other in rest)]


def _dearer(candidate: NameCandidate) -> NameCandidate:
    return replace(candidate, name=replace(candidate.name, cost=candidate.name.cost + _OTHER_DYAD_READING))
