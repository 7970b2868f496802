"""Strings that lie other than a guitar's apart: what the book says of them, and forms that they have of their own.

Common practice, no source. In an open tuning all strings together are a chord, a finger across them is another, and one
or two fingers add to it (x02010 in open G, 000200 in DADGAD); with a dropped sixth string one finger holds a power
chord, and D is strummed whole. A finger across an open tuning sounds what a barre sounds on a guitar, and is graded
under it, lest a song of barres be thought retuned: what tells the tuning is its open strings.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt

from listen.instrument import STANDARD, Tuning
from listen.voicing.book_tables import (
    N_BOOK_STRINGS,
    Frets,
    Table,
    add_partial_strums,
    look_up_grades,
    move_along,
    move_down,
    pack_frets,
    parse_shapes,
    tabulate_shapes,
)

_DROPPED = """
0-0-0-x-x-x 3
1-1-1-x-x-x 3
0-0-x-x-x-x 2.5
1-1-x-x-x-x 2.5
0-0-0-2-3-2 4
0-0-0-2-3-1 4
2-2-2-0-0-0 3
2-2-2-0-0-3 2
5-x-0-0-0-3 3
5-2-0-0-0-3 3
5-x-0-0-3-3 3
5-2-0-0-3-3 2
"""
_DROPPED_TWICE = """
0-0-0-x-x-x 3
1-1-1-x-x-x 3
0-0-0-2-3-0 4
0-0-0-2-3-4 3
5-x-0-0-0-0 4
5-5-0-0-0-0 4
x-2-0-0-0-0 3
x-0-2-2-2-2 3
2-2-2-0-0-0 3
2-2-2-0-0-2 3
x-3-2-0-1-0 3
x-3-2-0-1-2 3
"""
_OPEN_G = """
0-0-0-0-0-0 4
1-1-1-1-1-1 3
x-0-0-0-0-0 4
x-1-1-1-1-1 3
x-0-2-0-1-0 4
x-1-3-1-2-1 3
0-0-2-0-1-0 3
x-0-2-0-1-2 3
x-1-3-1-2-3 2.5
2-x-2-0-0-2 3
x-2-2-2-1-2 2.5
x-x-0-2-3-4 3
0-0-0-0-0-3 3
"""
_OPEN_D = """
0-0-0-0-0-0 4
1-1-1-1-1-1 3
0-2-0-1-2-0 4
0-0-0-1-2-0 4
x-0-2-1-0-2 3
x-0-2-3-0-2 3
2-2-2-1-2-2 2.5
x-2-0-0-2-0 3
0-0-0-0-3-0 3
"""
_DADGAD = """
0-0-0-0-0-0 4
0-0-0-2-0-0 4
0-0-4-2-0-0 4
0-0-3-2-0-0 3
0-0-2-2-0-0 3
x-0-2-2-0-0 4
5-x-5-2-0-0 4
5-x-0-0-0-0 4
5-5-0-0-0-0 4
7-x-7-0-0-0 4
0-2-0-0-2-0 3
x-2-0-0-2-0 3
2-2-2-0-0-0 3
x-2-4-2-0-0 3
x-3-0-2-0-0 3
3-3-3-2-0-0 3
"""
_FORMS = {
    (-2, 0, 0, 0, 0, 0): _DROPPED,
    (-2, 0, 0, 0, 0, -2): _DROPPED_TWICE,
    (-2, -2, 0, 0, 0, -2): _OPEN_G,
    (-2, 0, 0, -1, -2, -2): _OPEN_D,
    (-2, 0, 0, 0, -2, -2): _DADGAD,
}
"""By the semitones of each string against standard tuning, those of the fourth string taken off."""
_FOURTH = 2  # its place in a row, the sixth string first


@cache
def _load_forms(tuning: Tuning) -> tuple[Frets, npt.NDArray[np.float64]]:
    """Return the forms that a tuning has of its own, with their grades; none where it has none."""
    text = ""
    if tuning.n_strings >= N_BOOK_STRINGS:
        steps = measure_steps(tuning)
        text = _FORMS.get(tuple((steps - steps[_FOURTH]).tolist()), "")
    return parse_shapes(text)


@cache
def _load_tables(tuning: Tuning, *, partial: bool) -> tuple[Table, Table]:
    return tabulate_shapes(*_load_forms(tuning), partial=partial)


def grade_retuned_forms(frets: Frets, tuning: Tuning, *, partial: bool) -> npt.NDArray[np.float64]:
    """Return how common each shape is as a form that the tuning has of its own, as :func:`grade_shapes` does.

    A form that may be moved is as common everywhere: it is one finger across.
    """
    listed, movable = _load_tables(tuning, partial=partial)
    n_extra = frets.shape[1] - N_BOOK_STRINGS
    upper = frets[:, n_extra:]
    at_the_nut = (upper == 0).any(axis=1)
    placed, moved = look_up_grades(listed, pack_frets(upper)), look_up_grades(movable, pack_frets(move_down(upper)))
    return np.where((frets[:, :n_extra] < 0).all(axis=1), np.where(at_the_nut, placed, moved), 0.0)


def list_retuned_forms(tuning: Tuning, top_fret: int, *, partial: bool = True) -> tuple[Frets, npt.NDArray[np.float64]]:
    """List the forms that a tuning has of its own, as :func:`list_strummed_shapes` lists shapes.

    Without those on strings that lie a guitar's distances apart, of which the book speaks.
    """
    shapes, nats = _load_forms(tuning)
    if not len(shapes):
        return np.zeros((0, N_BOOK_STRINGS), np.int8), np.zeros(0)
    frets, _ = move_along(*(add_partial_strums(shapes, nats) if partial else (shapes, nats)), top_fret)
    frets = frets[np.unique(pack_frets(frets), return_index=True)[1]]
    own = Tuning(tuning.name, tuning.open_strings[-N_BOOK_STRINGS:])
    frets = frets[~have_standard_distances(frets, own)]
    return frets, grade_retuned_forms(frets, own, partial=partial)


def count_strings_of_open_chord(tuning: Tuning) -> int:
    """Return how many strings, from the sixth up, are a chord when no finger is on them; 0 on a guitar's.

    Examples
    --------
    >>> from listen.instrument import parse_tuning
    >>> [count_strings_of_open_chord(parse_tuning(name)) for name in ("standard", "drop D", "open G")]
    [0, 3, 6]
    """
    shapes, _ = _load_forms(tuning)
    is_open = (shapes <= 0).all(axis=1)
    return int((shapes[is_open] == 0).sum(axis=1).max(initial=0))


def measure_steps(tuning: Tuning) -> npt.NDArray[np.int_]:
    """Return how many semitones each of the last six strings lies above a guitar's."""
    strings = zip(tuning.open_strings[-N_BOOK_STRINGS:], STANDARD.open_strings, strict=True)
    return np.array([pitch.midi - standard.midi for pitch, standard in strings])


def have_standard_distances(frets: Frets, tuning: Tuning) -> npt.NDArray[np.bool_]:
    """Tell which shapes sound only strings that lie as far apart as a guitar's, on the last six strings."""
    n_extra = tuning.n_strings - N_BOOK_STRINGS
    upper = frets[:, n_extra:]
    offsets, sounding = measure_steps(tuning), upper >= 0
    lowest = np.where(sounding, offsets, 1_000).min(axis=1)
    highest = np.where(sounding, offsets, -1_000).max(axis=1)
    return np.asarray((lowest == highest) & (frets[:, :n_extra] < 0).all(axis=1))
