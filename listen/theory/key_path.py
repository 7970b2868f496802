"""Keys as a path over the bars of a part: where the key changes, if it surely does.

A change costs, so few are made. First the bars are cut where the chords leave one scale for another: a bar whose chords
a scale does not hold costs what it lasts, and a change as much as a bar, more where no phrase begins (dynamic
programming over the bars, as Temperley's; relative keys have one scale, so going from one to the other is no change).
Then each stretch is read by itself, and a change stands only where both sides of it are sure. A secondary dominant, a
borrowed chord, a vamp of two chords or a blues is no change, and what may as well be heard in one key stays in it:

* a stretch has several roots, the triad of its own tonic, and hardly a chord that its scale does not hold, while the
  scale on the other side lacks some;
* it is read in its own key, and the key on the other side is out of the question;
* it does not begin or end at home in the key on the other side: D, C, G, D beside D, A, G, D is in D;
* both do not begin or end at home in one third key, which then may be that of both.

What is asked for is judged, on rows of our own in one key and in several (``tests/benchmarks/key_rows.py``).

References
----------
D. Temperley, The Cognition of Basic Musical Structures, 2001, chapter 7 (key changes by dynamic programming over
segments, at a cost for each change). C. Krumhansl, E. Kessler, Psychological Review 89, 1982.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise

from listen.theory.chord import Chord
from listen.theory.key import Key
from listen.theory.key_finding import SCALES_OF_CHORDS, KeyReading, is_tonic, rank_keys

LEAST_BARS = 6  # of a key: two phrases of four bars, one of which may be short
CHANGE_BARS, OFF_PHRASE_BARS = 1.0, 1.0
"""Bars outside the scale that a change costs, and how many more where no phrase begins."""
SURE, OUT_OF_QUESTION = 0.8, 0.05  # how probable the own key is, and the one on the other side
OUTSIDE_NATS = 8.0  # that chords outside a key's scale, all of them, take off its probability
LEAST_INSIDE, LEAST_OUTSIDE = 0.75, 0.2  # of a stretch: held by its own scale, and not by the one on the other side
LEAST_ROOTS = 3
_SIX_SIGNS = tuple(map(Key.parse, ("F#", "Gb", "D#m", "Ebm")))

BarChords = Sequence[tuple[Chord, float]]
"""The chords of a bar in time order, each with the share of the bar that it lasts."""


@dataclass(frozen=True, slots=True)
class KeySection:
    """Bars in one key.

    Parameters
    ----------
    first : int
        Index of the first of them.
    keys : tuple of KeyReading
        All 24, most probable first.
    """

    first: int
    keys: tuple[KeyReading, ...]


def find_key_path(bars: Sequence[BarChords], *, phrases: Collection[int] = ()) -> tuple[KeySection, ...]:
    """Find the keys of a part, one after another.

    Parameters
    ----------
    bars : sequence of BarChords
    phrases : collection of int
        Indices of the bars at which a phrase may begin.

    Returns
    -------
    tuple of KeySection
        In time order, none of which has the scale of the one before it; one where the key does not surely change,
        none without chords.

    Examples
    --------
    >>> from listen.theory.symbol import parse_chord
    >>> verse, up = "G D Em C G D C G".split(), "A E F#m D A E D A".split()
    >>> bars = [[(parse_chord(name), 1.0)] for name in (*verse, *verse, *up)]
    >>> [(one.first, one.keys[0].key.text) for one in find_key_path(bars, phrases=range(0, 24, 4))]
    [(0, 'G major'), (16, 'A major')]
    """
    if not any(bars):
        return ()
    stretches = [_Stretch(first, bars[first:end]) for first, end in pairwise([*_cut(bars, phrases), len(bars)])]
    while (at := _find_joined(stretches)) is not None:
        before, after = stretches[at : at + 2]
        stretches[at : at + 2] = [_Stretch(before.first, [*before.bars, *after.bars])]
    keys: list[tuple[KeyReading, ...]] = []
    for one in stretches:  # what has one scale is in one key, in verse and chorus, not here C and there A minor
        alike = [bar for other in stretches if _scale_of(other.key) == _scale_of(one.key) for bar in other.bars]
        own = _Stretch(one.first, alike).keys
        keys.append(_spell_beside(own, keys[-1][0].key) if keys else own)
    return tuple(KeySection(one.first, own) for one, own in zip(stretches, keys, strict=True))


class _Stretch:
    """Bars next to one another, and what is read of them."""

    def __init__(self, first: int, bars: Sequence[BarChords]) -> None:
        self.first, self.bars = first, bars
        chords = [one for bar in bars for one in bar]
        self.edges = (chords[0][0], chords[-1][0])
        self.lasts: defaultdict[Chord, float] = defaultdict(float)
        for chord, lasts in chords:
            self.lasts[chord] += lasts

    @cached_property
    def keys(self) -> tuple[KeyReading, ...]:
        """All keys by how probable they are, those whose scale lacks chords less so."""
        begins, ends = ((chord, 0.0) for chord in self.edges)
        ranked = rank_keys(chords=[begins, *self.lasts.items(), ends])
        shares = [one.probability * math.exp(OUTSIDE_NATS * (self.inside(one.key) - 1.0)) for one in ranked]
        weighed = [replace(one, probability=own / sum(shares)) for one, own in zip(ranked, shares, strict=True)]
        return tuple(sorted(weighed, key=lambda one: -one.probability))

    @cached_property
    def insides(self) -> list[float]:
        """The share of its chords that each of the twelve scales holds whole."""
        total = sum(self.lasts.values())
        return [
            sum(lasts for chord, lasts in self.lasts.items() if _holds(scale, chord)) / total for scale in range(12)
        ]

    @property
    def key(self) -> Key:
        return self.keys[0].key

    def inside(self, key: Key) -> float:
        """Return the share of its chords that the scale of a key holds whole."""
        return self.insides[_scale_of(key)]

    def probability_of(self, key: Key) -> float:
        """Return how probable it is that it is in a key or its relative."""
        return sum(one.probability for one in self.keys if _scale_of(one.key) == _scale_of(key))

    def is_home(self, key: Key) -> bool:
        """Tell whether it begins or ends with the tonic triad of a key."""
        return any(is_tonic(chord, key) for chord in self.edges)

    def is_sure(self, other: Key) -> bool:
        """Tell whether it is surely in its own key beside a stretch in another one."""
        return (
            len(self.bars) >= LEAST_BARS
            and len({chord.root.pitch_class for chord in self.lasts}) >= LEAST_ROOTS
            and any(is_tonic(chord, self.key) for chord in self.lasts)
            and self.inside(self.key) >= LEAST_INSIDE
            and self.inside(other) <= 1.0 - LEAST_OUTSIDE
            and self.probability_of(self.key) >= SURE
            and self.probability_of(other) <= OUT_OF_QUESTION
            and not self.is_home(other)
        )


def _find_joined(stretches: Sequence[_Stretch]) -> int | None:
    """Return the index of a stretch that is in one key with the next one, as far as is sure; None where none is."""
    for at, (before, after) in enumerate(pairwise(stretches)):
        if _scale_of(before.key) == _scale_of(after.key):
            return at
    unsure = [
        at
        for at, stretch in enumerate(stretches)
        if not all(
            stretch.is_sure(beside.key) and not _may_be_one(stretch, beside) for beside in _beside(stretches, at)
        )
    ]
    if not unsure:
        return None
    at = min(unsure, key=lambda one: len(stretches[one].bars))
    likelier = max(_beside(stretches, at), key=lambda beside: stretches[at].probability_of(beside.key))
    return at if at + 1 < len(stretches) and likelier is stretches[at + 1] else at - 1


def _beside(stretches: Sequence[_Stretch], at: int) -> list[_Stretch]:
    return [stretches[one] for one in (at - 1, at + 1) if 0 <= one < len(stretches)]


def _may_be_one(one: _Stretch, other: _Stretch) -> bool:
    """Tell whether both begin or end at home in a third key that holds most of their chords."""
    own = {_scale_of(one.key), _scale_of(other.key)}
    thirds = [reading.key for reading in one.keys if _scale_of(reading.key) not in own]
    return any(
        one.is_home(key) and other.is_home(key) and min(one.inside(key), other.inside(key)) >= LEAST_INSIDE
        for key in thirds
    )


def _cut(bars: Sequence[BarChords], phrases: Collection[int]) -> list[int]:
    """Return the first bars of stretches in one scale each, by the cheapest path through the twelve scales."""
    n_bars = len(bars)
    costs = [[sum(lasts for chord, lasts in bar if not _holds(scale, chord)) for bar in bars] for scale in range(12)]
    sums = [list(accumulate(row, initial=0.0)) for row in costs]
    best = [[0.0] * 12]
    came: list[list[tuple[int, int] | None]] = [[None] * 12]  # where the stretch began, and the scale before it
    for end in range(1, n_bars + 1):
        best.append([best[-1][scale] + costs[scale][end - 1] for scale in range(12)])
        came.append(list(came[-1]))
        first = end - LEAST_BARS
        if first < LEAST_BARS:
            continue
        before = min(range(12), key=best[first].__getitem__)
        change = best[first][before] + CHANGE_BARS + (0.0 if first in phrases else OFF_PHRASE_BARS)
        for scale in range(12):
            cost = change + sums[scale][end] - sums[scale][first]
            if scale != before and cost <= best[end][scale]:
                best[end][scale], came[end][scale] = cost, (first, before)
    scale, end, starts = min(range(12), key=best[n_bars].__getitem__), n_bars, [0]
    while (step := came[end][scale]) is not None:
        end, scale = step
        starts.insert(1, end)
    return starts


def _scale_of(key: Key) -> int:
    """Return the pitch class of the major tonic of a key's scale: one for a key and its relative."""
    return (key.tonic.pitch_class + (3 if key.mode == "minor" else 0)) % 12


def _holds(scale: int, chord: Chord) -> bool:
    """Tell whether the scale of a major key or its relative minor holds a chord whole."""
    from_major = {(note.pitch_class - scale) % 12 for note in chord.notes}
    from_minor = {(step + 3) % 12 for step in from_major}
    return from_major <= SCALES_OF_CHORDS["major"] or from_minor <= SCALES_OF_CHORDS["minor"]


def _spell_beside(keys: tuple[KeyReading, ...], before: Key) -> tuple[KeyReading, ...]:
    """Spell a key of six sharps or flats as lies nearer to the key before it: F goes up to G♭, and E to F♯."""
    first = keys[0].key
    alike = [key for key in _SIX_SIGNS if (key.tonic.pitch_class, key.mode) == (first.tonic.pitch_class, first.mode)]
    near = min([first, *alike], key=lambda one: (abs(one.signature), abs(one.signature - before.signature)))
    return tuple(replace(one, key=near.spell_key(one.key)) for one in keys)
