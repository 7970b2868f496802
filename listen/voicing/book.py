"""The book: shapes that players commonly use, as an explicit prior with a visible weight.

Where sound and hand leave several places open, a common shape is likelier than a rare one. The grades live in
``book.txt`` (package data, one shape a line: frets and grade in nats over a shape that is in no book), written by
``python -m tests.regenerate_book`` from two sources:

* the guitar shapes of the open data set ``@tombatossals/chords-db`` 0.5.1 (MIT): every listed shape, graded higher
  where it is the first place of a plain quality;
* the trade's movable forms, written down from theory: power chords on three root strings, close triads with their
  inversions on each set of three neighbouring strings, shells of seventh chords, and grips of four strings that hold
  all of a chord, with that of the ninth chord graded as a first place (common practice, no source).

A stroke may leave out outer strings of a shape, for a grade that is lower by each string left out: what is heard must
not be bent to the whole shape. A shape without open strings may be moved along the neck; a moved form earns a little
less than a listed place. The book is written for strings a standard distance apart, so in another tuning it speaks
only of shapes whose sounding strings have the standard distances; and, where the lowest string alone is dropped by a
step, of what it is dropped for: power chords under one finger, and D strummed whole.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from listen.instrument import STANDARD, Fretboard, Tuning

MOVED_GRADE_LOSS = 0.5  # nats that a movable form loses away from a listed place
LEFT_OUT_GRADE_LOSS = 1.0  # nats for each outer string of a listed shape that the stroke leaves out
LEAST_STRINGS_OF_A_PARTIAL_STRUM = 3
HIGHEST_GRADE = 4.0  # of any shape in the book
_RADIX = 32  # frets of six strings packed in one integer, -1 stored as 0
N_BOOK_STRINGS = 6

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
"""Forms that sound a lowest string which is dropped by a step; common practice, no source."""
_DROPPED_STEPS = (-2, 0, 0, 0, 0, 0)  # semitones of each string against standard tuning

Frets = npt.NDArray[np.int8]
Table = tuple[npt.NDArray[np.int64], npt.NDArray[np.float64]]  # sorted keys, grades


def _parse_book(text: str) -> tuple[Frets, npt.NDArray[np.float64]]:
    """Parse the shapes as they are listed, with their grades."""
    rows = [line.split() for line in text.splitlines() if line and not line.startswith("#")]
    shapes: Frets = np.array(
        [[-1 if fret == "x" else int(fret) for fret in row[0].split("-")] for row in rows], dtype=np.int8
    )
    return shapes, np.array([float(row[1]) for row in rows])


@cache
def _shipped_book() -> tuple[Frets, npt.NDArray[np.float64]]:
    return _parse_book(files("listen.voicing").joinpath("book.txt").read_text(encoding="utf-8"))


def read_book(text: str, *, partial: bool = True) -> tuple[Table, Table]:
    """Read a book: listed places, and forms without open strings moved down to fret 1."""
    return _tabulate(*_parse_book(text), partial=partial)


def _tabulate(shapes: Frets, nats: npt.NDArray[np.float64], *, partial: bool) -> tuple[Table, Table]:
    """Tabulate listed places, and forms without open strings moved down to fret 1."""
    if partial:
        shapes, nats = _add_partial_strums(shapes, nats)
    movable = ~(shapes == 0).any(axis=1)
    return _sort_table(_pack(shapes), nats), _sort_table(_pack(_move_down(shapes[movable])), nats[movable])


@cache
def _load_book(*, partial: bool) -> tuple[Table, Table]:
    return _tabulate(*_shipped_book(), partial=partial)


@cache
def _load_dropped() -> tuple[Table, Table]:
    return read_book(_DROPPED, partial=False)


@cache
def list_book_shapes(fretboard: Fretboard) -> tuple[Frets, npt.NDArray[np.float64]]:
    """List every shape of the book on a neck, forms without open strings in every place, with their grades.

    Parameters
    ----------
    fretboard : Fretboard

    Returns
    -------
    frets : ndarray of int8, shape (n, n_strings)
        Counted from the capo, -1 = not played; strings beyond the six of the book are not played.
    grades : ndarray of float64, shape (n,)
        As :func:`grade_shapes` gives them; shapes of grade 0 are left out.
    """
    shapes, _ = _shipped_book()
    n_extra = fretboard.n_strings - N_BOOK_STRINGS
    if n_extra < 0:
        return np.zeros((0, fretboard.n_strings), np.int8), np.zeros(0)
    if is_dropped(fretboard.tuning):
        shapes = np.concatenate([shapes, _parse_book(_DROPPED)[0]])
    upper, _ = _move_along(shapes, np.zeros(len(shapes)), fretboard.top_fret)
    upper = upper[np.unique(_pack(upper), return_index=True)[1]]
    frets = np.concatenate([np.full((len(upper), n_extra), -1, np.int8), upper], axis=1)
    grades = grade_shapes(frets, fretboard.tuning, partial=False)
    return frets[grades > 0.0], grades[grades > 0.0]


def _add_partial_strums(shapes: Frets, nats: npt.NDArray[np.float64]) -> tuple[Frets, npt.NDArray[np.float64]]:
    """Add each shape as it sounds when the stroke leaves out its outermost sounding strings."""
    sounding = shapes >= 0
    from_low = np.cumsum(sounding, axis=1)
    from_high = np.cumsum(sounding[:, ::-1], axis=1)[:, ::-1]
    all_shapes, all_nats = [shapes], [nats]
    for n_low, n_high in ((1, 0), (0, 1), (2, 0), (0, 2), (1, 1)):
        partial = np.where((from_low > n_low) & (from_high > n_high), shapes, np.int8(-1))
        rows = (partial >= 0).sum(axis=1) >= LEAST_STRINGS_OF_A_PARTIAL_STRUM
        all_shapes.append(partial[rows])
        all_nats.append((nats - LEFT_OUT_GRADE_LOSS * (n_low + n_high))[rows])
    return np.concatenate(all_shapes), np.concatenate(all_nats).clip(min=0.0)


def _sort_table(keys: npt.NDArray[np.int64], nats: npt.NDArray[np.float64]) -> Table:
    """Sort grades by key; where a key comes twice its highest grade stands."""
    order = np.lexsort((-nats, keys))
    keys, nats = keys[order], nats[order]
    first = np.ones(len(keys), dtype=bool)
    first[1:] = keys[1:] != keys[:-1]
    return keys[first], nats[first]


def _look_up(table: Table, keys: npt.NDArray[np.int64]) -> npt.NDArray[np.float64]:
    """Return the grade of each key, 0 where it is not in the table."""
    place = np.searchsorted(table[0], keys).clip(max=len(table[0]) - 1)
    return np.where(table[0][place] == keys, table[1][place], 0.0)


def _move_down(frets: npt.NDArray[np.int8]) -> npt.NDArray[np.int8]:
    """Move forms without open strings along the neck until their lowest fret is 1."""
    low = np.where(frets > 0, frets, _RADIX).min(axis=1)
    return np.where(frets > 0, frets - low[:, None] + 1, frets).astype(np.int8)


def _pack(frets: npt.NDArray[np.integer]) -> npt.NDArray[np.int64]:
    """Pack rows of frets (-1 not played) into one integer each."""
    powers = _RADIX ** np.arange(frets.shape[1], dtype=np.int64)
    packed: npt.NDArray[np.int64] = (frets.astype(np.int64) + 1) @ powers
    return packed


def grade_shapes(frets: Frets, tuning: Tuning, *, partial: bool = True) -> npt.NDArray[np.float64]:
    """Return how common each shape is, in nats over a shape that is in no book.

    Parameters
    ----------
    frets : ndarray of int8, shape (n, n_strings)
        Counted from the capo, -1 = not played.
    tuning : Tuning
    partial : bool
        Whether shapes of which the outermost strings are left out are graded, too.

    Returns
    -------
    ndarray of float64, shape (n,)
        0 where the book is silent.

    Examples
    --------
    >>> grades = grade_shapes(np.array([[-1, 3, 2, 0, 1, 0], [-1, 3, 2, 12, 13, 0]], dtype=np.int8), STANDARD)
    >>> bool(grades[0] > 1), float(grades[1])
    (True, 0.0)
    """
    grades = np.zeros(len(frets))
    n_extra = tuning.n_strings - N_BOOK_STRINGS
    if n_extra < 0 or not len(frets):
        return grades
    upper = frets[:, n_extra:]
    listed, movable = _load_book(partial=partial)
    found = _look_up(listed, _pack(upper))
    moved = _look_up(movable, _pack(_move_down(upper))) - MOVED_GRADE_LOSS
    grades = np.where((upper == 0).any(axis=1), found, np.maximum(found, moved.clip(min=0.0)))
    grades = np.where(have_standard_distances(frets, tuning), grades, 0.0)
    if is_dropped(tuning):
        grades = np.maximum(grades, _grade_dropped(frets))
    return grades


def _grade_dropped(frets: Frets) -> npt.NDArray[np.float64]:
    listed, movable = _load_dropped()
    upper = frets[:, frets.shape[1] - N_BOOK_STRINGS :]
    at_the_nut = (upper == 0).any(axis=1)
    found = np.where(at_the_nut, _look_up(listed, _pack(upper)), _look_up(movable, _pack(_move_down(upper))))
    return np.where((frets[:, : frets.shape[1] - N_BOOK_STRINGS] < 0).all(axis=1), found, 0.0)


def is_dropped(tuning: Tuning) -> bool:
    """Tell whether the sixth string lies a step lower against the five above it than a guitar's."""
    if tuning.n_strings < N_BOOK_STRINGS:
        return False
    steps = _measure_steps(tuning)
    return tuple((steps - steps[1]).tolist()) == _DROPPED_STEPS


def _measure_steps(tuning: Tuning) -> npt.NDArray[np.int_]:
    """Return how many semitones each of the last six strings lies above a guitar's."""
    strings = zip(tuning.open_strings[-N_BOOK_STRINGS:], STANDARD.open_strings, strict=True)
    return np.array([pitch.midi - standard.midi for pitch, standard in strings])


def have_standard_distances(frets: Frets, tuning: Tuning) -> npt.NDArray[np.bool_]:
    """Tell which shapes sound only strings that lie as far apart as a guitar's, on the last six strings."""
    n_extra = tuning.n_strings - N_BOOK_STRINGS
    upper = frets[:, n_extra:]
    offsets, sounding = _measure_steps(tuning), upper >= 0
    lowest = np.where(sounding, offsets, 1_000).min(axis=1)
    highest = np.where(sounding, offsets, -1_000).max(axis=1)
    return np.asarray((lowest == highest) & (frets[:, :n_extra] < 0).all(axis=1))


def list_strummed_shapes(top_fret: int, tuning: Tuning = STANDARD) -> tuple[Frets, npt.NDArray[np.float64]]:
    """List every shape of the book that lies on a neck of six strings, forms that may be moved at every place.

    Parameters
    ----------
    top_fret : int
        The highest fret, counted from the capo.
    tuning : Tuning
        Of six strings.

    Returns
    -------
    frets : ndarray of int8, shape (n, 6)
        Counted from the capo, -1 = not played; also with outer strings left out.
    grades : ndarray, shape (n,)
        In nats over a shape that is in no book; a shape may come twice.
    """
    shapes, nats = _add_partial_strums(*_shipped_book())
    frets, grades = _move_along(shapes, nats, top_fret)
    fits = have_standard_distances(frets, tuning)
    frets, grades = frets[fits], grades[fits]
    if not is_dropped(tuning):
        return frets, grades
    dropped, nats = list_dropped_shapes(top_fret)
    return np.concatenate([frets, dropped]), np.concatenate([grades, nats])


def list_dropped_shapes(top_fret: int) -> tuple[Frets, npt.NDArray[np.float64]]:
    """List the forms that sound a dropped sixth string, as :func:`list_strummed_shapes` lists shapes."""
    frets, _ = _move_along(*_parse_book(_DROPPED), top_fret)
    return frets, _grade_dropped(frets)


def _move_along(shapes: Frets, nats: npt.NDArray[np.float64], top_fret: int) -> tuple[Frets, npt.NDArray[np.float64]]:
    """Add forms without open strings at every place of a neck."""
    movable = ~(shapes == 0).any(axis=1)
    lowest = _move_down(shapes[movable])
    moved = [np.where(lowest > 0, lowest + by, lowest) for by in range(top_fret)]
    frets = np.concatenate([shapes, *moved]).astype(np.int8)
    grades = np.concatenate([nats, *[nats[movable] - MOVED_GRADE_LOSS] * len(moved)])
    on_neck = frets.max(axis=1) <= top_fret
    return frets[on_neck], grades[on_neck]
