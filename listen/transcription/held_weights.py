"""How badly each set of pitches that a hand may hold explains each stretch of strokes, in nats.

A pitch that is held and struck sounds, mostly; one that is held and not struck may ring on; one that is not held hardly
ever sounds. Strings that are picked one by one may come in any order, but a bar begins with the bass.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.evidence import N_PITCHES
from listen.transcription.reach import OPENS_LOW, Reach, StringRun
from listen.transcription.stroke_odds import StrokeOdds, find_lowest, mix_chances

Floats = NDArray[np.float64]
Midis = tuple[int, ...]

SOUNDS = 0.95  # of strings that are struck; choked ones and soft ones are the rest
RINGS = 0.3  # of strings that are held and not struck: they ring on from the stroke before
PICKED_MORE, PICKED_NONE, PICKED_NONE_SURE = 1.0, 4.0, 5.0
"""Where strings are picked, nats for each more string in one stroke, and for a stroke of none of the chord's: more
where the whole part is picked, by fingers that go to their strings (judged, not measured)."""
PICKED_STRINGS = 4.0  # that a pattern goes through, whatever the chord: how many it holds says nothing
PICKED_NEARLY = 2.5  # nats less sure than the surest: what is picked sounds, what sounds much less rings on (judged)
PICKED_SILENT = 0.4  # share of bars in which a string that is held is not picked
FOURTH = 5  # semitones: a string so far below a chord sounds its fifth, and is no stray (:mod:`.brushed_strings`)


@dataclass(frozen=True, slots=True, eq=False)
class SizedSets:
    """Sets of as many pitches, and what every run of their strings says in every stretch.

    Parameters
    ----------
    rows : ndarray of int
        Places among all sets.
    midis : ndarray of int, shape (n_sets, n)
    is_lowest : bool
        Whether they reach down to the lowest string.
    gains : ndarray, shape (n_stretches, n_sets, n + 1)
        Sums of what it costs more that strings are struck than that they are not, low to high.
    rest : ndarray, shape (n_stretches, n_sets)
        What it costs that none is struck, against all of them being stray.
    picked : ndarray, shape (n_stretches, n_sets)
        What it costs that strings are picked.
    in_bar : ndarray, shape (n_stretches, n_sets, n)
        Chance that each pitch sounds anywhere in the bar.
    """

    rows: NDArray[np.intp]
    midis: NDArray[np.int64]
    is_lowest: bool
    gains: Floats
    rest: Floats
    picked: Floats
    in_bar: Floats


def size_sets(odds: StrokeOdds, sets: Sequence[Midis], opens: Sequence[int]) -> tuple[SizedSets, ...]:
    """Sort sets by how many pitches they have, and weigh what does not depend on the player."""
    sizes = np.array([len(midis) for midis in sets])
    lowest = find_lowest(sets)
    second = opens[1] if len(opens) > 1 else N_PITCHES
    sized = []
    for n in np.unique(sizes[sizes > 0]).tolist():
        for is_lowest in (True, False):
            rows = np.flatnonzero((sizes == n) & ((lowest < second) == is_lowest))
            if len(rows):
                midis = np.array([sets[row] for row in rows.tolist()])
                present, absent = odds.present[:, midis], odds.absent[:, midis]
                struck, left = mix_chances(SOUNDS, present, absent), mix_chances(RINGS, present, absent)
                gains = np.concatenate([np.zeros((*left.shape[:2], 1)), np.cumsum(struck - left, axis=2)], axis=2)
                strayed = odds.stray[:, midis].sum(axis=2)
                picked = _weigh_picked(odds, midis) - strayed
                rest, in_bar = left.sum(axis=2) - strayed, odds.in_bar[:, midis]
                sized.append(SizedSets(rows, midis, is_lowest, gains, rest, picked, in_bar))
    return tuple(sized)


def weigh_sets(
    odds: StrokeOdds,
    lowest: NDArray[np.int64],
    sized: Sequence[SizedSets],
    reach: Reach,
    opens: Sequence[int],
    *,
    stopped: NDArray[np.bool_] | None = None,
) -> Floats:
    """Weigh how badly each held set explains each stretch, shape (n_stretches, n_sets).

    Parameters
    ----------
    odds : StrokeOdds
    lowest : ndarray of int, shape (n_sets,)
        MIDI number of each set's lowest pitch; 0 for no pitch.
    sized : sequence of SizedSets
        Of these sets.
    reach : Reach
    opens : sequence of int
        What the open strings sound, low to high.
    stopped : ndarray of bool, shape (2, n_sets), optional
        Where a finger lies on the two lowest strings, which no stroke sounds open then.
    """
    lows = list(opens[:2])
    costs = np.repeat(odds.stray.sum(axis=1)[:, None], len(lowest), axis=1)
    brushed = mix_chances(reach.brushed, odds.present[:, lows], odds.absent[:, lows]) - odds.stray[:, lows]
    brushed = np.where(odds.picked[:, None], 0.0, brushed)  # who picks a string means it
    below = np.array(lows)[:, None] < lowest
    fifths = lowest - np.array(lows)[:, None] == FOURTH
    may_sound = below & ~fifths
    costs += brushed @ (may_sound if stopped is None else may_sound & ~stopped)
    for group in sized:
        best = np.full(group.rest.shape, np.inf)
        never = _weigh_silence(group, reach, group.in_bar, odds.n_in_bar[:, None, None])
        for _, cost in _weigh_runs(group, reach, group.gains, never, odds.down[:, None], odds.stressed[:, None]):
            np.minimum(best, cost, out=best)
        costs[:, group.rows] += np.where(odds.picked[:, None], group.picked, best + group.rest)
    return np.asarray(odds.trust[:, None] * costs)


def list_runs(
    odds: StrokeOdds, path: NDArray[np.intp], sized: Sequence[SizedSets], reach: Reach, opens: Sequence[int]
) -> list[StringRun]:
    """List the strings that each strummed stretch struck of the set that is held in it."""
    runs: list[StringRun] = []
    for group in sized:
        n = group.midis.shape[1]
        places = np.flatnonzero(np.isin(path, group.rows) & ~odds.picked)
        if n < 2 or not len(places):
            continue
        columns = np.searchsorted(group.rows, path[places])
        never = _weigh_silence(group, reach, group.in_bar[places, columns], odds.n_in_bar[places, None])
        weighed = list(
            _weigh_runs(group, reach, group.gains[places, columns], never, odds.down[places], odds.stressed[places])
        )
        best = np.argmin([cost for _, cost in weighed], axis=0)
        for place, column, number in zip(places.tolist(), columns.tolist(), best.tolist(), strict=True):
            first, last = weighed[number][0]
            lowest = int(group.midis[column, 0])
            below = [midi for midi in opens[:2] if midi < lowest and lowest - midi != FOURTH]
            runs.append(
                StringRun(
                    first, last, n, group.is_lowest, float(odds.down[place]), float(odds.chances[place, below].sum()),
                    len(below), float(odds.in_bar[place, lowest]), 1.0 / float(odds.n_in_bar[place]),
                )
            )  # fmt: skip
    return runs


def _weigh_silence(group: SizedSets, reach: Reach, in_bar: Floats, n_in_bar: Floats) -> Floats:
    """Weigh that so many low strings of a chord sound nowhere in the bar, shared by its strokes; of shape `in_bar`."""
    silent = -np.log(in_bar + (1.0 - in_bar) * reach.silent[0 if group.is_lowest else 1])
    return np.asarray(np.cumsum(silent / n_in_bar, axis=-1))


def _weigh_runs(
    group: SizedSets, reach: Reach, gains: Floats, never: Floats, down: Floats, opens: NDArray[np.bool_]
) -> Iterator[tuple[tuple[int, int], Floats]]:
    """Weigh every run of strings: yields its first and last string, and its cost of the shape of `gains` less one axis.

    Parameters
    ----------
    group : SizedSets
    reach : Reach
    gains, never : ndarray, shape (..., n + 1) and (..., n)
        Of sets in stretches.
    down : ndarray
        Chance that the hand went down, of the leading shape of `gains` or one that spreads to it.
    opens : ndarray of bool
        Whether a bar begins there, of the same shape.
    """
    n = group.midis.shape[1]
    by_way = reach.weigh_runs(n, is_lowest=group.is_lowest)
    by_opening = reach.weigh_runs(n, is_lowest=group.is_lowest, opens=True)
    down = np.clip(down, 1e-6, 1.0 - 1e-6)
    log_down, log_up = np.log(down), np.log1p(-down)
    for first in range(n):
        for last in range(first, n):
            way = -np.logaddexp(log_down - by_way[0, first, last], log_up - by_way[1, first, last])
            if first == last:
                opening = -np.logaddexp(log_down - by_opening[0, first, last], log_up - by_opening[1, first, last])
                way = np.where(opens, opening, way)
            cost = gains[..., last + 1] - gains[..., first]
            cost += way
            if first:
                cost += never[..., first - 1]
            yield (first, last), cost


def _weigh_picked(odds: StrokeOdds, midis: NDArray[np.int64]) -> Floats:
    """Weigh strings picked alone or in pairs, shape (n_stretches, n_sets): any; a bar begins with the lowest."""
    least = np.maximum(0.0, odds.absent.max(axis=1) - PICKED_NEARLY)
    sounds, in_bar = odds.absent[:, midis] > least[:, None, None], odds.in_bar[:, midis]
    n_sounding = sounds.sum(axis=2)
    others = np.log((PICKED_STRINGS - 1.0) / (1.0 - OPENS_LOW))
    opens = np.where(sounds[..., 0], -np.log(OPENS_LOW), others)
    first = np.where(odds.opening[:, None], opens, np.log(PICKED_STRINGS))
    none = np.where(odds.in_run[:, None], np.log(PICKED_STRINGS), PICKED_NONE_SURE if odds.is_picked else PICKED_NONE)
    costs = np.where(n_sounding > 0, first + PICKED_MORE * (n_sounding - 1), none)
    silent = -np.log(in_bar + (1.0 - in_bar) * PICKED_SILENT).sum(axis=2)
    return np.asarray(costs + silent / odds.n_in_bar[:, None])
