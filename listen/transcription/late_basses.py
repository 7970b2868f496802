"""A bass that comes in the middle of its bars is a change of chord: a thumb that misses a string does so anywhere.

Am whose bass goes on to G at half the bar is Am and then Am/G, and not Am/G whose sixth string was missed first: what
is missed by chance is missed now here, now there, and least of all each time from the bar's first stroke to one and the
same beat, to be struck by every downstroke from there on. Bars in which the bass comes at the same place are heard
together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.transcription.held_weights import FOURTH
from listen.transcription.stroke_odds import StrokeOdds

LEAST_BARS = 2  # in one bar alone strokes may be missed like that
STRUCK, STROKES = 0.8, 2.0
"""How many strokes of a hand that means a bass sound it, and how many strokes of the part that counts for; judged."""
DOWN = 0.5  # chance above which a stroke goes down
SILENT, SOUNDS = 0.2, 0.8  # chances below and above which the string does not sound, and does


def weigh_late_basses(
    odds: StrokeOdds,
    path: NDArray[np.intp],
    *,
    lowest: NDArray[np.int64],
    bars: NDArray[np.int64],
    steps: NDArray[np.int64],
) -> NDArray[np.float64]:
    """Weigh each held set where its lowest string does not sound yet, in bars in which it comes later.

    Parameters
    ----------
    odds : StrokeOdds
    path : ndarray of int, shape (n_stretches,)
        Which set is held in each stretch.
    lowest : ndarray of int, shape (n_sets,)
        MIDI number of each set's lowest pitch; 0 for no pitch.
    bars, steps : ndarray of int, shape (n_stretches,)
        Where each stretch lies, in time order; steps of a bar.

    Returns
    -------
    ndarray, shape (n_stretches, n_sets)
        Nats against sets, shared by the stretches of a bar; else 0.
    """
    against = np.zeros((len(path), len(lowest)))
    for row in set(path.tolist()):
        if not lowest[row]:
            continue
        sounds = odds.chances[:, lowest[row]]
        held = path == row
        late = _find_late(odds, sounds, np.flatnonzero(held), bars, steps)
        counted = held & ~odds.picked
        counted[[place for before in late.values() for inside in before for place in inside]] = False
        weight = odds.down * counted
        share = (STROKES * STRUCK + (weight * sounds)[counted].sum()) / (STROKES + weight.sum())
        for before in late.values():
            if len(before) < LEAST_BARS:
                continue
            together = np.concatenate(before)
            cost = -np.log1p(-share) * float(odds.down[together].sum())
            for inside in before:
                against[inside, row] = cost / len(inside)
    return against


def find_late_fifths(
    odds: StrokeOdds,
    path: NDArray[np.intp],
    sets: Sequence[tuple[int, ...]],
    *,
    brushed: NDArray[np.intp],
    bars: NDArray[np.int64],
    steps: NDArray[np.int64],
) -> dict[int, int]:
    """Find the sets that fret the fifth below a held one, where whole strokes sound it from one and the same beat on.

    xx3211 that goes on to x33211 at half of its bars is F, then F/C, and not F with its sixth string missed. Until that
    is known the small chord may be held for the whole barre around it, 133211, whose lower two strings it leaves out;
    where the lowest of those sounds, the barre it is.

    Parameters
    ----------
    odds, path, bars, steps
        As for :func:`weigh_late_basses`.
    sets : sequence of tuple of int
        MIDI numbers of each set, low to high.
    brushed : ndarray of int
        Places of those whose fifth below needs no finger (:mod:`.brushed_strings`): it is hardly meant.

    Returns
    -------
    dict of int to int
        Places among the sets, and in how many bars.
    """
    row_of = {midis: row for row, midis in enumerate(sets)}
    found = {}
    for row, upper in [(row, sets[row][n_below:]) for row in set(path.tolist()) for n_below in (0, 2)]:
        over = row_of.get((upper[0] - FOURTH, *upper)) if upper else None
        if over is None or row_of.get(upper) in brushed:
            continue
        held = path == row
        if (odds.chances[held][:, [midi for midi in sets[row] if midi < sets[over][0]]] > SILENT).any():
            continue
        sounds = odds.chances[:, sets[over][0]]
        whole = np.flatnonzero(held & (odds.chances[:, upper[0]] > SOUNDS))
        n_bars = max((len(before) for before in _find_late(odds, sounds, whole, bars, steps).values()), default=0)
        if n_bars >= LEAST_BARS:
            found[over] = n_bars
    return found


def _find_late(
    odds: StrokeOdds,
    sounds: NDArray[np.float64],
    held: NDArray[np.intp],
    bars: NDArray[np.int64],
    steps: NDArray[np.int64],
) -> dict[int, list[NDArray[np.intp]]]:
    """Find the places in bars before a string first sounds, to be struck from there on, by the step where it does."""
    late: dict[int, list[NDArray[np.intp]]] = defaultdict(list)
    for bar in np.unique(bars[held]):
        inside = held[bars[held] == bar]
        n_silent = int(np.argmax(np.append(sounds[inside] > SILENT, True)))
        after = inside[n_silent:]
        full = after[odds.down[after] > DOWN]  # upstrokes leave low strings out, meant or not
        is_late = n_silent and len(full) and (sounds[full] > SOUNDS).all()
        if is_late and not odds.picked[inside].any():
            late[int(steps[after[0]])].append(inside[:n_silent])
    return late
