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

import numpy as np
from numpy.typing import NDArray

from listen.harmony.name_table import ADDED_DEGREES, Mask, load_table
from listen.harmony.relative_name import RelativeName
from listen.theory import Interval, find_quality_of_tones

KEPT_NAMES = 12  # of each set
_ALWAYS_KEPT = 3
_LOOKED_AT = 48  # cheapest places of the table; about a third are second names of a root
_WORTH_SAYING = 2.6  # points over the best, beyond which another name is not said
_DEAREST = 7.0  # points: what costs more is no name for the set
# Turns costs into probabilities, exp(-SHARPNESS * cost). On the shapes of the book (tests/benchmarks/naming.py) the
# calibration error is .03 where a name is right when its tones and bass are what sounds, and .14 where it is right only
# when the book calls it so; at 2 it is .09 and .09. The program promises the first.
SHARPNESS = 4.0

_BASS_ABOVE_TOO = 0.8  # a foreign bass that is doubled above belongs to the chord
_ADDED = 2.6  # points for a tone that the name has to add; judged
_OMITTED_THIRD, _OMITTED_OVER_ROOT = 2.0, 1.3
"""Points for a third that it has to say is left out; for one over its root in the bass, which a root and a sixth on two
strings of a shuffle leave out: A E F♯ is A6(no3) before F♯m7/A without its fifth (judged)."""
_UNEXPLAINED = 3.5  # for a tone that no name explains; judged
_MISSING = 4.5  # for one that the name claims and nothing sounds; judged
_IMPOSSIBLE = 99.0  # beyond every other cost
_MOST_CHANGES = 2
_MOST_FAULTS = 2  # unexplained and wrongly missing tones together, beyond which it is no name
_POPCOUNT = np.array([bin(mask).count("1") for mask in range(4096)], dtype=np.int16)

_FOUND: dict[tuple[int, bool], tuple[RelativeName, ...]] = {}


def score_sets(kinds: list[tuple[int, bool]]) -> list[tuple[RelativeName, ...]]:
    """Return the cheapest names of each kind of set.

    Parameters
    ----------
    kinds : list of (int, bool)
        The mask over the bass, bit 0 set, and whether the bass note's pitch class sounds above the bass as well.

    Returns
    -------
    list of tuple of RelativeName
        At most :data:`KEPT_NAMES` each, cheapest first; equal costs in the order of the table. Empty where fewer than
        two pitch classes sound or nothing fits.
    """
    unknown = [kind for kind in dict.fromkeys(kinds) if kind not in _FOUND]
    if unknown:
        masks = np.array([mask for mask, _ in unknown], dtype=np.int16)
        doubled = np.array([above for _, above in unknown])
        costs, changed = _costs(masks, doubled)
        order = _order(costs)
        for row, (mask, above) in enumerate(unknown):
            rows = zip(
                order[row].tolist(), costs[row, order[row]].tolist(), changed[row, order[row]].tolist(), strict=True
            )
            _FOUND[mask, above] = _names(mask, [found for found in rows if found[1] < _IMPOSSIBLE])
    return [_FOUND[kind] for kind in kinds]


def _order(costs: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the places of the cheapest names of each set, cheapest first, equal ones in the order of the table."""
    near = np.sort(np.argpartition(costs, _LOOKED_AT, axis=1)[:, :_LOOKED_AT], axis=1)
    rank = np.argsort(np.take_along_axis(costs, near, axis=1), axis=1, kind="stable")
    return np.take_along_axis(near, rank, axis=1)


def _costs(masks: Mask, doubled: NDArray[np.bool_]) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Cost every root and quality for every set, shape (n sets, n names); say which are named as changed chords."""
    table = load_table()
    sounding = masks[:, None]
    missing = table.tones & ~sounding
    extra = sounding & ~table.tones & np.where(table.foreign, ~1, -1).astype(np.int16)
    required = missing & table.required
    n_extra, n_required = _POPCOUNT[extra], _POPCOUNT[required]
    only_third = table.thirdless & ((required & ~table.third) == 0) & ((missing & table.fifth) == 0)
    changed = (
        table.changeable
        & ~table.foreign
        & ((extra & ~table.addable) == 0)
        & ((n_required == 0) | only_third)
        & (n_extra + n_required <= _MOST_CHANGES)
    )
    cost = table.base_cost
    for price, optional in table.optional:
        cost = cost + price * ((missing & optional) != 0)
    omitted_third = np.where(table.roots == 0, _OMITTED_OVER_ROOT, _OMITTED_THIRD)
    cost = cost + np.where(changed, _ADDED * n_extra + omitted_third * n_required, 0.0)
    cost = cost + np.where(changed, 0.0, _UNEXPLAINED * n_extra + _MISSING * n_required)
    cost = cost + np.where(table.foreign & doubled[:, None], _BASS_ABOVE_TOO, 0.0)
    impossible = ~changed & (n_extra + n_required > _MOST_FAULTS)
    impossible |= table.foreign & (missing != 0)
    impossible |= (missing & table.root_bit) != 0
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
        if not exact and (not worth_saying or int(load_table().roots[place]) in roots):
            continue
        name = _changed_name(mask, place, cost) if changed else _name(mask, place, cost)
        if name is not None:
            roots.add(name.root)
            names.append(name)
    return tuple(names)


def _is_exact(mask: int, place: int) -> bool:
    """Tell whether every tone of the name sounds, a perfect fifth apart, and nothing else."""
    missing = int(load_table().tones[place]) & ~mask
    return not _extra(mask, place) and not missing & ~int(load_table().fifth[place])


def _missing(mask: int, place: int) -> tuple[Interval, ...]:
    root = int(load_table().roots[place])
    tones = load_table().qualities[place].tones
    return tuple(tone for tone in tones if not mask >> ((root + tone.pitch_class) % 12) & 1)


def _extra(mask: int, place: int) -> int:
    return mask & ~int(load_table().tones[place]) & (~1 if load_table().foreign[place] else -1)


def _name(mask: int, place: int, cost: float) -> RelativeName:
    """Return the name at a place of the table as it stands."""
    extra = _extra(mask, place)
    unexplained = tuple(step for step in range(12) if extra >> step & 1)
    return RelativeName(
        int(load_table().roots[place]), load_table().qualities[place], cost, _missing(mask, place), unexplained
    )


def _changed_name(mask: int, place: int, cost: float) -> RelativeName | None:
    """Return the name at a place of the table with tones added or its third left out; None where that has a name."""
    quality, root = load_table().qualities[place], int(load_table().roots[place])
    missing, extra = _missing(mask, place), _extra(mask, place)
    added = tuple(Interval.parse(ADDED_DEGREES[(step - root) % 12]) for step in range(12) if extra >> step & 1)
    whole = tuple(tone for tone in quality.tones if tone not in missing or tone in quality.optional) + added
    if find_quality_of_tones(whole) is not None:
        return None
    return RelativeName(root, quality, cost, changed_to=tuple(tone for tone in whole if tone not in missing))
