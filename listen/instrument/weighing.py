"""The measure of effort: what plans cost the hand, with its parts kept apart or added up.

Conventions: a plan is one shape with one division of its stopped strings among fingers (see
:mod:`listen.instrument.plans`). Costs are arrays of shape (n_parts, n_plans): in the order of
:data:`effort.PART_NAMES`, or in one row that adds them up. What the hand lacks counts :data:`pair_costs.FAILURE` each
under ``beyond``. What a thumb costs, and strings that are not played, are the same for every plan of a shape and are
not in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from listen.instrument import effort
from listen.instrument.contact import list_stretched_pairs
from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import Hand
from listen.instrument.pair_costs import FAILURE, PAIR_PARTS, PAIRS, find_spot, tabulate_pairs
from listen.instrument.plans import SIDE, Plans

Floats = NDArray[np.floating[Any]]

APART = {name: row for row, name in enumerate(effort.PART_NAMES)}
ADDED_UP = dict.fromkeys(effort.PART_NAMES, 0)


def weigh_plans(
    plans: Plans, has_open: NDArray[np.bool_], fretboard: Fretboard, hand: Hand, *, apart: bool
) -> Iterator[tuple[NDArray[np.int64], Floats, Iterator[tuple[tuple[int, ...], Floats]]]]:
    """Weigh every plan with every choice of fingers for it.

    Yields
    ------
    (rows, shared, choices)
        For each number of fingers: which plans use so many, what they cost whatever fingers are chosen, and each
        choice of fingers, the lowest first, with what it costs on top.
    """
    for count in (1, 2, 3, 4):
        rows = np.flatnonzero(plans.count == count)
        if rows.size:
            chosen = plans.take(rows)
            yield (
                rows,
                _weigh_shared(chosen, count, fretboard, hand, apart=apart),
                _weigh_choices(chosen, count, has_open[rows], fretboard, hand, apart=apart),
            )


def _begin(n: int, *, apart: bool) -> tuple[Floats, dict[str, int], type[np.floating[Any]]]:
    """Return costs of nothing yet, the row of each part, and the kind of number."""
    if apart:
        return np.zeros((len(effort.PART_NAMES), n), np.float64), APART, np.float64
    return np.zeros((1, n), np.float32), ADDED_UP, np.float32


def _weigh_shared(plans: Plans, count: int, fretboard: Fretboard, hand: Hand, *, apart: bool) -> Floats:
    """Weigh what does not depend on which fingers are chosen."""
    fret, first, last = plans.fret, plans.first, plans.last
    cost, at, real = _begin(plans.count.size, apart=apart)
    above = np.maximum(fret[count - 1] + np.int16(fretboard.capo_fret - effort.HIGH_FRET), 0)
    cost[at["position"]] += real(effort.HIGH) * above
    cost[at["fingers"]] += real(effort.FINGER * count)
    if count == 4:
        cost[at["fingers"]] += real(effort.FINGER) * plans.extra
        cost[at["beyond"]] += real(effort.EXTRA_FINGER) * plans.extra + FAILURE * (plans.extra > 0)
        cost[at["crowding"]] += real(effort.FOUR_IN_A_FRET) * (fret[0] == fret[3])
    barres, crossing = cost[at["barres"]], cost[at["crossing"]]
    for slot in range(count):
        strings = last[slot] - first[slot]
        barres += real(effort.BARRE_LIFT) * plans.lift[slot]
        barres += real(effort.BARRE_GAP) * plans.gap[slot]
        if hand.picking == "pick":  # a barre sounds what lies under it; fingers just do not pluck it
            cost[at["beyond"]] += FAILURE * plans.silent[slot]
        barres += real(effort.BARRE_FIRST_FRET) * (strings + 1) * ((strings > 0) & (fret[slot] == 1))
    for low, high in zip(range(count - 1), range(1, count), strict=True):
        aside, level = first[low] - first[high], fret[low] == fret[high]
        crossing += real(effort.CROSS) * (np.maximum(aside, 0) * ~level)
        over = (aside > 0) & level
        if over.any():  # never in the order in which hands take them
            crossing += real(effort.REVERSED) * over
    return cost


def _weigh_choices(
    plans: Plans, count: int, has_open: NDArray[np.bool_], fretboard: Fretboard, hand: Hand, *, apart: bool
) -> Iterator[tuple[tuple[int, ...], Floats]]:
    """Weigh what depends on which fingers are chosen."""
    fret, first, last = plans.fret, plans.first, plans.last
    flat = [tabulate_fingers(apart=apart)[:, :, last[slot] - first[slot]] for slot in range(count)]
    tables = tabulate_pairs(fretboard, hand, apart=apart)
    looked_up = []
    for low, high in list_stretched_pairs(count):
        gap = np.maximum(np.maximum(first[low] - last[high], first[high] - last[low]), 0)
        table = tables.only if count == 2 else tables.around if high > low + 1 else tables.beside
        looked_up.append((low, high, table, find_spot(fretboard, fret[low], fret[high], gap)))
    near_nut = has_open & (fret[count - 1] <= effort.NEAR_NUT)
    for fingers in combinations((1, 2, 3, 4), count):
        cost, at, real = _begin(plans.count.size, apart=apart)
        cost[at["position"]] += np.where(has_open, real(0.0), real(effort.IDLE_INDEX * (fingers[0] - 1)))
        cost[at["position"]] += near_nut * (real(effort.OUT_OF_PLACE) * np.abs(fret[0] - np.int16(fingers[0])))
        alone = [at["fingers"], at["barres"]] if apart else slice(1)
        paired = [at[part] for part in PAIR_PARTS] if apart else slice(1)
        for slot, finger in enumerate(fingers):
            cost[alone] += flat[slot][:, finger - 1]
        for low, high, table, spot in looked_up:
            cost[paired] += table[:, PAIRS.index((fingers[low], fingers[high]))][:, spot]
        yield fingers, cost


@lru_cache(maxsize=2)
def tabulate_fingers(*, apart: bool) -> Floats:
    """Tabulate what a finger costs: [for weakness and lying flat, or both; finger - 1; last string - first]."""
    weak, flat = np.empty((4, int(SIDE))), np.zeros((4, int(SIDE)))
    for finger in (1, 2, 3, 4):
        weak[finger - 1] = effort.WEAKNESS[finger]
        flat[finger - 1, 1:] = price_barre(finger, np.arange(SIDE - 1), np.float64)
    return np.stack([weak, flat]) if apart else (weak + flat)[None].astype(np.float32)


def price_barre(finger: int, further: NDArray[np.integer[Any]], real: type[np.floating[Any]]) -> Floats:
    """Return what it costs to hold a finger flat over two strings and so many further ones."""
    return np.asarray(real(effort.BARRE[finger]) + real(effort.BARRE_STRING[finger]) * further)
