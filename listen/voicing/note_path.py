"""Where single notes lie on the neck: the cheapest path of the hand through them.

Most notes lie on several strings. Each place is weighed with the *position* of the hand: the fret of its index finger,
from which on every finger has a fret of its own (common practice, no source). The hand would rather not shift, stretch
beyond its four frets, or cross strings; open strings are cheap while it is near the nut. A chord before or after, or
under the notes, says where the hand is. The weights are choices of this project, ordered so that scales come out as
handbooks print them.

References
----------
S. I. Sayegh, "Fingering for string instruments with the optimum path paradigm", Computer Music Journal 13(3), 1989.
D. P. Radicioni, L. Anselma, V. Lombardo, "A segmentation-based prototype to compute string instruments fingering",
Conference on Interdisciplinary Musicology, 2004.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard, Shape

Place = tuple[int, int]
"""String, counted as in the tuning, and fret from the capo."""

FINGERS = 4  # frets from the index finger's on that lie under the hand
STOP, OPEN_BEHIND = 0.2, 0.1  # to stop a string; to sound it open, for each fret that the hand is away from the first
HIGHER = 0.03  # for each fret: of places that are as easy the lower one
SHIFT, SHIFT_BY_FRET = 0.3, 0.3  # to move the hand at all, and for each fret
STRETCH = 1.0  # for each fret outside those under the hand
CROSS = 0.1  # for each string from one note to the next


@dataclass(frozen=True, slots=True)
class NoteStep:
    """A note to be laid on the neck, or a chord between notes.

    Parameters
    ----------
    places : tuple of Place
        Where it may lie; empty for a chord, and for a note that no string has.
    positions : tuple of int
        Where the hand may be meanwhile; empty where nothing says so.
    """

    places: tuple[Place, ...] = ()
    positions: tuple[int, ...] = ()


def list_note_places(midi: int, fretboard: Fretboard) -> tuple[Place, ...]:
    """List where a note lies; nothing where no string has it.

    Examples
    --------
    >>> list_note_places(48, Fretboard())
    ((0, 8), (1, 3))
    """
    frets = [(string, midi - pitch.midi) for string, pitch in enumerate(fretboard.open_pitches)]
    return tuple((string, fret) for string, fret in frets if 0 <= fret <= fretboard.top_fret)


def find_positions(shape: Shape) -> tuple[int, ...]:
    """Find the positions from which a hand holds a shape; none where open strings say nothing of the hand.

    Examples
    --------
    >>> from listen.instrument import parse_shape
    >>> [find_positions(parse_shape(text)) for text in ("x32010", "320003", "x3xxxx", "000000")]
    [(1,), (1, 2), (1, 2, 3), ()]
    """
    stopped = [fret for fret in shape.frets if fret]
    if not stopped:
        return ()
    lowest, highest = min(stopped), max(stopped)
    return tuple(range(max(1, highest - FINGERS + 1), lowest + 1)) or (lowest,)


def lay_notes(steps: Sequence[NoteStep], fretboard: Fretboard) -> tuple[Place | None, ...]:
    """Lay notes on the neck, all of them together.

    Parameters
    ----------
    steps : sequence of NoteStep
        In time order.
    fretboard : Fretboard

    Returns
    -------
    tuple of Place or None
        One for each step; None where it has no place.

    Examples
    --------
    >>> neck = Fretboard()
    >>> scale = [NoteStep(list_note_places(midi, neck)) for midi in (48, 50, 52, 53, 55, 57, 59, 60)]
    >>> [fret for _, fret in lay_notes(scale, neck)]
    [3, 0, 2, 3, 0, 2, 0, 1]
    """
    if not steps:
        return ()
    layers = [_list_states(step, fretboard) for step in steps]
    total, ways = _weigh_states(layers[0]), []
    for before, after in pairwise(layers):
        costs = total[:, None] + _weigh_moves(before, after)
        ways.append(costs.argmin(axis=0))
        total = costs.min(axis=0) + _weigh_states(after)
    rows = [int(total.argmin())]
    for way in reversed(ways):
        rows.append(int(way[rows[-1]]))
    states = (layer[row] for layer, row in zip(layers, reversed(rows), strict=True))
    return tuple(None if string < 0 else (int(string), int(fret)) for string, fret, _ in states)


def _list_states(step: NoteStep, fretboard: Fretboard) -> NDArray[np.int64]:
    """List string, fret and position of a step, shape (n, 3); string and fret -1 where it has no place."""
    anywhere = range(1, max(fretboard.top_fret, 1) + 1)
    states: list[tuple[int, int, int]] = []
    for string, fret in step.places or ((-1, -1),):
        reaching = range(max(1, fret - FINGERS), fret + 1) if fret > 0 else anywhere  # with the widest stretch
        states += [(string, fret, position) for position in step.positions or reaching]
    return np.array(states, np.int64)


def _weigh_states(states: NDArray[np.int64]) -> NDArray[np.float64]:
    """Weigh each place under its position, shape (n,)."""
    string, fret, position = states.T
    outside = np.maximum(position - fret, 0) + np.maximum(fret - position - FINGERS + 1, 0)
    stopped = STOP + HIGHER * fret + STRETCH * outside
    return np.where(string < 0, 0.0, np.where(fret > 0, stopped, OPEN_BEHIND * (position - 1)))


def _weigh_moves(before: NDArray[np.int64], after: NDArray[np.int64]) -> NDArray[np.float64]:
    """Weigh the way from each state to each next one, shape (n_before, n_after)."""
    (old, _, left), (new, _, reached) = before.T[:, :, None], after.T[:, None, :]
    frets = np.abs(reached - left)
    strings = np.where((old < 0) | (new < 0), 0, np.abs(new - old))
    return np.asarray(np.where(frets > 0, SHIFT + SHIFT_BY_FRET * frets, 0.0) + CROSS * strings)
