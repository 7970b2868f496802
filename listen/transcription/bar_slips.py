"""Where in the bar each stroke lies, when a player slips: waits at a change, drops or adds a part of a beat.

The pulse counts steps; from stroke to stroke the place in the bar moves on by as many, or, at a cost, by one or two
more or fewer, or a bar has two beats instead of four. The likeliest row of places is found exactly (Viterbi), as in a
bar-pointer model over events.

References
----------
F. Krebs, S. Böck, G. Widmer, "An efficient state-space model for joint tempo and meter tracking", ISMIR 2015 (the
place in the bar as a state that moves with the tempo).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.transcription.bar_evidence import BarKind, CountedStrokes, weigh_places, weigh_struck

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SLIPS = (0, 1, -1, 2, -2)  # steps by which a hand may come off the count, likeliest first
HALF_BAR_NATS = 5.0
"""A bar of two beats among bars of four, after which a chord begins. With three bars after it of a chord each, 8 of 12
rows of strokes have it found, of two such bars the last 4; for 7 nats none of them (`benchmarks.pulse` is the same)."""
LEFT_OUT_SHARE = 0.5  # of a slip, where a bar line is told: it is told because of what is left out before it; judged
TOLD_NATS = 1000.0  # against any other place of a bar line that a person told: more than all strokes together say


def place_strokes(
    strokes: CountedStrokes,
    bar: BarKind,
    *,
    bar_steps: tuple[int, ...] = (),
    alternates: bool = False,
    pushes: bool = False,
) -> tuple[Ints, float]:
    """Place strokes in bars.

    Parameters
    ----------
    strokes : CountedStrokes
    bar : BarKind
    bar_steps : tuple of int
        Steps of the pulse that are told to begin a bar. With one of them nothing slips; with more, what slips lies
        between them, and before each but the first any part of a bar may be left out.
    alternates : bool
        Whether the hand goes down on one beat and up on the next.
    pushes : bool
        Whether most chords change a step early, with an upstroke.

    Returns
    -------
    steps : ndarray of int, shape (n_strokes,)
        From the bar line before the first stroke.
    score : float
        Nats over strokes that lie anywhere.
    """
    n, n_strokes = bar.n_steps, len(strokes.steps)
    said = weigh_places(strokes, bar, alternates=alternates, pushes=pushes)
    struck, passed = weigh_struck(strokes, bar)
    said += struck
    advances = np.diff(strokes.steps)
    places = np.arange(n)
    told = sorted((max(0, int(np.searchsorted(strokes.steps, step, side="right")) - 1), step) for step in bar_steps)
    for k, step in told:
        said[k, places != (strokes.steps[k] - step) % n] -= TOLD_NATS
    left_out = {k for k, _ in told[1:]}
    halved = strokes.is_change & (bar.beats == 4 and len(told) != 1)
    total = said[0].copy()
    came = np.zeros((n_strokes, n), np.int64)
    slips = np.array((0,) if len(bar_steps) == 1 else SLIPS)
    ways = {advance: _find_ways(advance, slips, passed) for advance in set(advances.tolist())}
    moves = [slips] * n_strokes
    for k, advance in enumerate(advances.tolist(), start=1):
        (before, over), weights = ways[advance], np.abs(slips)
        if k in left_out:
            moves[k] = np.arange(n)
            before, over = _find_ways(advance, moves[k], passed)
            weights = LEFT_OUT_SHARE * np.sign(moves[k])
        options = total.take(before) + over - strokes.slip_costs[k] * weights[:, None]
        if halved[k] and k not in left_out:
            moves[k] = np.append(moves[k], n // 2)
            options = np.vstack([options, np.full(n, -np.inf)])
            options[-1, 0] = options[0, n // 2] - HALF_BAR_NATS
        came[k] = options.argmax(axis=0)
        total = options.max(axis=0) + said[k]
    return _trace_back(int(total.argmax()), came, moves, advances), float(total.max())


def _trace_back(place: int, came: Ints, moves: list[Ints], advances: Ints) -> Ints:
    """Return the steps of all strokes, by the ways that lead to the last one's place."""
    moved = np.zeros(len(came), np.int64)
    for k in range(len(came) - 1, 0, -1):
        moved[k] = advances[k - 1] + moves[k][came[k, place]]
        place = int((place - moved[k]) % came.shape[1])
    return place + np.cumsum(moved)


def _find_ways(advance: int, slips: Ints, passed: Floats) -> tuple[Ints, Floats]:
    """Find from which place each place is reached, by slip, and what the places passed over say; shape (slips, n)."""
    n = len(passed)
    places, moves = np.arange(n), advance + slips[:, None]
    before = (places - moves) % n
    whole, rest = np.divmod(np.maximum(moves - 1, 0), n)
    sums = np.concatenate([[0.0], np.cumsum(np.tile(passed, 2))])
    over = sums[before + 1 + rest] - sums[before + 1] + whole * sums[n]
    return before, np.where(moves >= (slips != 0)[:, None], over, -np.inf)
