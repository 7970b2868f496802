"""Every root and quality that a set over a bass may be named by, with what each costs before anything sounds.

Conventions: as in :mod:`listen.harmony.scoring`: 12-bit masks over the bass, costs in points.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.harmony.plainness import NAMEABLE, PLAINNESS
from listen.theory import ChordQuality, Interval

_BASS_COST = {3: 0.9, 5: 0.9, 7: 1.0}  # third, fifth, seventh in the bass: inversions that are written every day
_OTHER_BASS_COST = 1.6  # a sixth, a suspension or a tension in the bass: another name is nearly always plainer
_FOREIGN_UNDER_TRIAD = 1.2  # C/D
_SEVENTH_UNDER_TRIAD = 0.8  # D/C, Am/G: the page writes the triad where only the bass has the seventh
_FOREIGN_UNDER_SEVENTH = 2.0  # Am7/D
_FOREIGN_UNDER_OTHER = 2.8  # points for a bass that is no tone, under any other chord; judged
_SEVENTH_CHORDS = (("", 9), ("m", 8), ("m", 9))  # C over A is Am7, Am over F is Fmaj7, Dm over B is Bm7♭5
_NO_FIFTH = 1.2  # points for a fifth that does not sound, in chords of four tones and more; judged
_NO_FIFTH_IN_TRIAD = 2.0  # in a triad, of which it leaves two tones; judged
_NO_OTHER_OPTIONAL = {3: 0.5, 9: 0.5, 11: 0.1}  # points, by degree; judged, not measured

_SIMPLE = frozenset(
    ("", "m", "5", "7", "maj7", "m7", "6", "m6", "sus4", "sus2", "dim", "aug", "m7b5", "dim7", "9", "add9")
)
_WITHOUT_THIRD = ("", "7", "maj7", "6")  # a minor chord without its third is not heard as minor
_PLAIN_SEVENTHS = ("7", "maj7", "m7", "m7b5", "6", "m6")
ADDED_DEGREES = {1: "b9", 2: "9", 3: "#9", 5: "11", 6: "#11", 8: "b13", 9: "13"}

Mask = NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class NameTable:
    """Every root and quality as arrays of one length, the bass at bit 0.

    `optional` are what may be left out, with what that costs.
    """

    roots: NDArray[np.int16]
    qualities: tuple[ChordQuality, ...]
    tones: Mask
    required: Mask
    third: Mask
    fifth: Mask
    optional: tuple[tuple[NDArray[np.float64], Mask], ...]
    base_cost: NDArray[np.float64]
    addable: Mask
    changeable: NDArray[np.bool_]
    thirdless: NDArray[np.bool_]

    @property
    def root_bit(self) -> Mask:
        """The root alone, as a mask."""
        return np.asarray((1 << self.roots).astype(np.int16))

    @property
    def foreign(self) -> NDArray[np.bool_]:
        """Whether the bass is no tone of the name."""
        return np.asarray((self.tones & 1) == 0)


def _mask(semitones: Iterable[int]) -> int:
    return sum(1 << step for step in set(semitones))


def _bass_cost(quality: ChordQuality, root: int) -> float:
    """Return what it costs to have the bass where it is, ``root`` semitones below the root."""
    if root == 0:
        return 0.0
    step = -root % 12
    for tone in quality.tones:
        if tone.pitch_class == step:
            return _BASS_COST.get(tone.degree, _OTHER_BASS_COST)
    if (quality.symbol, step) in _SEVENTH_CHORDS:
        return _FOREIGN_UNDER_OTHER
    if quality.symbol in ("", "m"):
        return _SEVENTH_UNDER_TRIAD if step in (10, 11) else _FOREIGN_UNDER_TRIAD
    return _FOREIGN_UNDER_SEVENTH if quality.symbol in _PLAIN_SEVENTHS else _FOREIGN_UNDER_OTHER


def _addable(quality: ChordQuality) -> tuple[int, ...]:
    """Return the pitch classes over the root that may be put to a simple quality."""
    if quality.symbol not in _SIMPLE:
        return ()
    third = next((tone for tone in quality.tones if tone.degree == 3), None)
    has = quality.pitch_classes
    steps = [step for step in ADDED_DEGREES if step not in has]
    return tuple(step for step in steps if step != 3 or third == Interval(3))


@cache
def load_table() -> NameTable:
    """Make the table: every quality on the bass itself, then on the root a semitone above it, and so on."""
    roots = np.repeat(np.arange(12, dtype=np.int16), len(NAMEABLE))

    def for_every_root(masks: list[int]) -> Mask:
        over_root = np.tile(np.array(masks, dtype=np.int32), 12)
        turned = (over_root << roots) | (over_root >> (12 - roots))
        return (turned & 0xFFF).astype(np.int16)

    def degrees(tones_of: str, *wanted: int) -> Mask:
        return for_every_root(
            [
                _mask(tone.pitch_class for tone in getattr(quality, tones_of) if not wanted or tone.degree in wanted)
                for quality in NAMEABLE
            ]
        )

    def is_one_of(symbols: Collection[str]) -> NDArray[np.bool_]:
        return np.tile(np.array([quality.symbol in symbols for quality in NAMEABLE]), 12)

    fifth = degrees("optional", 5)
    plainness = np.tile(np.array([PLAINNESS[quality.symbol] for quality in NAMEABLE]), 12)
    bass_cost = np.array([_bass_cost(quality, root) for root in range(12) for quality in NAMEABLE])
    fifth_cost = 12 * [_NO_FIFTH if len(quality.tones) > 3 else _NO_FIFTH_IN_TRIAD for quality in NAMEABLE]
    return NameTable(
        roots=roots,
        qualities=NAMEABLE * 12,
        tones=degrees("tones"),
        required=degrees("required"),
        third=degrees("tones", 3),
        fifth=fifth,
        optional=(
            (np.array(fifth_cost), fifth),
            *((np.full(len(roots), cost), degrees("optional", degree)) for degree, cost in _NO_OTHER_OPTIONAL.items()),
        ),
        base_cost=plainness + bass_cost,
        addable=for_every_root([_mask(_addable(quality)) for quality in NAMEABLE]),
        changeable=is_one_of(_SIMPLE),
        thirdless=is_one_of(_WITHOUT_THIRD),
    )
