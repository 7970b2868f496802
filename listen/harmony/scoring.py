"""What each possible name costs, for a set of sounding pitch classes over a bass.

Conventions: a set is a 12-bit mask, bit 0 the bass, bit n the pitch class n semitones above it: naming does not change
under transposition, so each kind of set is scored once and remembered. Costs are points, low is good:

    cost = plainness of the quality                     (:mod:`listen.harmony.plainness`)
         + bass: 0 the root, more for an inversion, most for a foreign bass
         + each tone of the name that does not sound    (little for a fifth, much for a tone that may not be left out)
         + each sounding note that is no tone of the name

A simple chord with up to two tones put to it or its third left out is named so (``C(add#11)``, ``C7(no3)``): a name
never claims a tone that does not sound, save those that the trade's rules of omission let go.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.harmony.plainness import NAMEABLE, PLAINNESS
from listen.theory import ChordQuality, Interval, degrees_to_quality, find_quality_of_tones

KEPT_NAMES = 12  # of each set
_ALWAYS_KEPT = 3
_LOOKED_AT = 48  # cheapest places of the table; about a third are second names of a root
_WORTH_SAYING = 2.6  # points over the best, beyond which another name is not said
_DEAREST = 7.0  # points: what costs more is no name for the set
# Turns costs into probabilities, exp(-SHARPNESS * cost). On the shapes of the book (tests/benchmarks/naming.py) the
# calibration error is .03 where a name is right when its tones and bass are what sounds, and .14 where it is right only
# when the book calls it so; at 2 it is .09 and .09. The program promises the first.
SHARPNESS = 4.0

_BASS_COST = {3: 0.9, 5: 0.9, 7: 1.0}  # third, fifth, seventh in the bass: inversions that are written every day
_OTHER_BASS_COST = 1.6  # a sixth, a suspension or a tension in the bass: another name is nearly always plainer
_FOREIGN_UNDER_TRIAD = 1.2  # C/D
_SEVENTH_UNDER_TRIAD = 0.8  # D/C, Am/G: the page writes the triad where only the bass has the seventh
_FOREIGN_UNDER_SEVENTH = 2.0  # Am7/D
_FOREIGN_UNDER_OTHER = 2.8
_SEVENTH_CHORDS = (("", 9), ("m", 8), ("m", 9))  # C over A is Am7, Am over F is Fmaj7, Dm over B is Bm7♭5
_BASS_ABOVE_TOO = 0.8  # a foreign bass that is doubled above belongs to the chord
_NO_FIFTH = 1.2
_NO_FIFTH_IN_TRIAD = 2.0
_NO_OTHER_OPTIONAL = {3: 0.5, 9: 0.5, 11: 0.1}
_NO_ROOT = 1.6  # a rootless reading, when asked for, is said beside the plain ones
_ADDED = 2.6
_OMITTED_THIRD = 2.0
_UNEXPLAINED = 3.5
_MISSING = 4.5
_IMPOSSIBLE = 99.0
_MOST_CHANGES = 2
_MOST_FAULTS = 2  # unexplained and wrongly missing tones together, beyond which it is no name

_SIMPLE = frozenset(
    ("", "m", "5", "7", "maj7", "m7", "6", "m6", "sus4", "sus2", "dim", "aug", "m7b5", "dim7", "9", "add9")
)
_WITHOUT_THIRD = ("", "7", "maj7", "6")  # a minor chord without its third is not heard as minor
_PLAIN_SEVENTHS = ("7", "maj7", "m7", "m7b5", "6", "m6")
_ADDED_DEGREES = {1: "b9", 2: "9", 3: "#9", 5: "11", 6: "#11", 8: "b13", 9: "13"}
_POPCOUNT = np.array([bin(mask).count("1") for mask in range(4096)], dtype=np.int16)

Mask = NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class RelativeName:
    """A name for a kind of set, whatever its transposition.

    Parameters
    ----------
    root : int
        Semitones of the root above the bass.
    base : ChordQuality
    cost : float
        Points.
    missing : tuple of Interval
        Tones of the name that do not sound.
    unexplained : tuple of int
        Sounding notes that are no tone of the name, semitones above the bass.
    changed_to : tuple of Interval
        The tones that are named where tones were added to the base or its third left out; else empty.
    """

    root: int
    base: ChordQuality
    cost: float
    missing: tuple[Interval, ...] = ()
    unexplained: tuple[int, ...] = ()
    changed_to: tuple[Interval, ...] = ()

    @property
    def is_exact(self) -> bool:
        """Whether every note is a tone of the name and only tones that may be left out are missing.

        A power chord over a foreign bass (G5/B) is no exact name: the bass makes it another chord.
        """
        if self.base.symbol == "5" and self.root not in (0, 5):
            return False
        return not self.unexplained and all(tone in self.quality.optional for tone in self.missing)

    @property
    def quality(self) -> ChordQuality:
        """The quality that is named."""
        return degrees_to_quality(self.changed_to) if self.changed_to else self.base


@dataclass(frozen=True, slots=True)
class _Table:
    """Every root and quality as arrays of one length, the bass at bit 0."""

    roots: NDArray[np.int16]
    qualities: tuple[ChordQuality, ...]
    tones: Mask
    required: Mask
    root_bit: Mask
    third: Mask
    guides: Mask
    fifth: Mask
    optional: tuple[tuple[float, Mask], ...]
    base_cost: NDArray[np.float64]
    fifth_cost: NDArray[np.float64]
    foreign: NDArray[np.bool_]
    addable: Mask
    changeable: NDArray[np.bool_]
    thirdless: NDArray[np.bool_]


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
    steps = [step for step in _ADDED_DEGREES if step not in has]
    return tuple(step for step in steps if step != 3 or third == Interval(3))


@cache
def _table() -> _Table:
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

    tones = degrees("tones")
    plainness = np.tile(np.array([PLAINNESS[quality.symbol] for quality in NAMEABLE]), 12)
    bass_cost = np.array([_bass_cost(quality, root) for root in range(12) for quality in NAMEABLE])
    fifth_cost = [_NO_FIFTH if len(quality.tones) > 3 else _NO_FIFTH_IN_TRIAD for quality in NAMEABLE]
    return _Table(
        roots=roots,
        qualities=NAMEABLE * 12,
        tones=tones,
        required=degrees("required"),
        root_bit=(1 << roots).astype(np.int16),
        third=degrees("tones", 3),
        guides=degrees("tones", 3, 7),
        fifth=degrees("optional", 5),
        optional=tuple((cost, degrees("optional", degree)) for degree, cost in _NO_OTHER_OPTIONAL.items()),
        base_cost=plainness + bass_cost,
        fifth_cost=np.tile(np.array(fifth_cost), 12),
        foreign=(tones & 1) == 0,
        addable=for_every_root([_mask(_addable(quality)) for quality in NAMEABLE]),
        changeable=is_one_of(_SIMPLE),
        thirdless=is_one_of(_WITHOUT_THIRD),
    )


_FOUND: dict[tuple[int, bool, bool], tuple[RelativeName, ...]] = {}


def score_sets(kinds: list[tuple[int, bool]], *, rootless: bool = False) -> list[tuple[RelativeName, ...]]:
    """Return the cheapest names of each kind of set.

    Parameters
    ----------
    kinds : list of (int, bool)
        The mask over the bass, bit 0 set, and whether the bass note's pitch class sounds above the bass as well.
    rootless : bool
        Whether names whose root does not sound are looked for too.

    Returns
    -------
    list of tuple of RelativeName
        At most :data:`KEPT_NAMES` each, cheapest first; equal costs in the order of the table. Empty where fewer than
        two pitch classes sound or nothing fits.
    """
    unknown = [kind for kind in dict.fromkeys(kinds) if (*kind, rootless) not in _FOUND]
    if unknown:
        masks = np.array([mask for mask, _ in unknown], dtype=np.int16)
        doubled = np.array([above for _, above in unknown])
        costs, changed = _costs(masks, doubled, rootless=rootless)
        order = _order(costs)
        for row, (mask, above) in enumerate(unknown):
            rows = zip(
                order[row].tolist(), costs[row, order[row]].tolist(), changed[row, order[row]].tolist(), strict=True
            )
            _FOUND[mask, above, rootless] = _names(mask, [found for found in rows if found[1] < _IMPOSSIBLE])
    return [_FOUND[(*kind, rootless)] for kind in kinds]


def _order(costs: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the places of the cheapest names of each set, cheapest first, equal ones in the order of the table."""
    near = np.sort(np.argpartition(costs, _LOOKED_AT, axis=1)[:, :_LOOKED_AT], axis=1)
    rank = np.argsort(np.take_along_axis(costs, near, axis=1), axis=1, kind="stable")
    return np.take_along_axis(near, rank, axis=1)


def _costs(masks: Mask, doubled: NDArray[np.bool_], *, rootless: bool) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Cost every root and quality for every set, shape (n sets, n names); say which are named as changed chords."""
    table = _table()
    sounding = masks[:, None]
    missing = table.tones & ~sounding
    extra = sounding & ~table.tones & np.where(table.foreign, ~1, -1).astype(np.int16)
    required = missing & table.required & ~table.root_bit
    n_extra, n_required = _POPCOUNT[extra], _POPCOUNT[required]
    only_third = table.thirdless & ((required & ~table.third) == 0) & ((missing & table.fifth) == 0)
    changed = (
        table.changeable
        & ~table.foreign
        & ((extra & ~table.addable) == 0)
        & ((n_required == 0) | only_third)
        & (n_extra + n_required <= _MOST_CHANGES)
    )
    cost = table.base_cost + table.fifth_cost * ((missing & table.fifth) != 0)
    for price, optional in table.optional:
        cost = cost + price * ((missing & optional) != 0)
    cost = cost + np.where(changed, _ADDED * n_extra + _OMITTED_THIRD * n_required, 0.0)
    cost = cost + np.where(changed, 0.0, _UNEXPLAINED * n_extra + _MISSING * n_required)
    cost = cost + np.where(table.foreign & doubled[:, None], _BASS_ABOVE_TOO, 0.0)
    impossible = ~changed & (n_extra + n_required > _MOST_FAULTS)
    impossible |= table.foreign & (missing != 0)
    no_root = (missing & table.root_bit) != 0
    if rootless:
        guided = (_POPCOUNT[table.guides] == 2) & ((missing & table.guides) == 0) & ~table.foreign
        cost = cost + np.where(no_root, _NO_ROOT, 0.0)
        impossible |= no_root & (~guided | (n_extra + n_required > 0) | (_POPCOUNT[sounding] < 3))
    else:
        impossible |= no_root
    impossible |= (_POPCOUNT[sounding] < 2) | (cost > _DEAREST)
    return np.where(impossible, _IMPOSSIBLE, cost), changed & (n_extra + n_required > 0)


def _names(mask: int, found: list[tuple[int, float, bool]]) -> tuple[RelativeName, ...]:
    """Turn places in the table into names; of one root keep the cheapest and whatever is exact."""
    names: list[RelativeName] = []
    roots: set[int] = set()
    for place, cost, changed in found:
        worth_saying = cost <= found[0][1] + _WORTH_SAYING
        if len(names) == KEPT_NAMES or (not worth_saying and len(names) >= _ALWAYS_KEPT):
            break
        exact = not changed and _is_exact(mask, place)
        if not exact and (not worth_saying or int(_table().roots[place]) in roots):
            continue
        name = _changed_name(mask, place, cost) if changed else _name(mask, place, cost)
        if name is not None:
            roots.add(name.root)
            names.append(name)
    return tuple(names)


def _is_exact(mask: int, place: int) -> bool:
    """Tell whether every tone of the name sounds, a perfect fifth apart, and nothing else."""
    missing = int(_table().tones[place]) & ~mask
    return not _extra(mask, place) and not missing & ~int(_table().fifth[place])


def _missing(mask: int, place: int) -> tuple[Interval, ...]:
    root = int(_table().roots[place])
    tones = _table().qualities[place].tones
    return tuple(tone for tone in tones if not mask >> ((root + tone.pitch_class) % 12) & 1)


def _extra(mask: int, place: int) -> int:
    return mask & ~int(_table().tones[place]) & (~1 if _table().foreign[place] else -1)


def _name(mask: int, place: int, cost: float) -> RelativeName:
    """Return the name at a place of the table as it stands."""
    extra = _extra(mask, place)
    unexplained = tuple(step for step in range(12) if extra >> step & 1)
    return RelativeName(int(_table().roots[place]), _table().qualities[place], cost, _missing(mask, place), unexplained)


def _changed_name(mask: int, place: int, cost: float) -> RelativeName | None:
    """Return the name at a place of the table with tones added or its third left out; None where that has a name."""
    quality, root = _table().qualities[place], int(_table().roots[place])
    missing, extra = _missing(mask, place), _extra(mask, place)
    added = tuple(Interval.parse(_ADDED_DEGREES[(step - root) % 12]) for step in range(12) if extra >> step & 1)
    whole = tuple(tone for tone in quality.tones if tone not in missing or tone in quality.optional) + added
    if find_quality_of_tones(whole) is not None:
        return None
    return RelativeName(root, quality, cost, changed_to=tuple(tone for tone in whole if tone not in missing))
