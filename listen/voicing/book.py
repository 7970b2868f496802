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
only of shapes whose sounding strings have the standard distances; and of the forms that some tunings have of their own
(:mod:`listen.voicing.retuned_forms`).
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from listen.instrument import STANDARD, Fretboard, Tuning
from listen.voicing.book_tables import (
    MOVED_GRADE_LOSS,
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
from listen.voicing.retuned_forms import grade_retuned_forms, have_standard_distances, list_retuned_forms

HIGHEST_GRADE = 4.0  # of any shape in the book


@cache
def _shipped_book() -> tuple[Frets, npt.NDArray[np.float64]]:
    return parse_shapes(files("listen.voicing").joinpath("book.txt").read_text(encoding="utf-8"))


def read_book(text: str, *, partial: bool = True) -> tuple[Table, Table]:
    """Read a book: listed places, and forms without open strings moved down to fret 1."""
    return tabulate_shapes(*parse_shapes(text), partial=partial)


@cache
def _load_book(*, partial: bool) -> tuple[Table, Table]:
    return tabulate_shapes(*_shipped_book(), partial=partial)


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
    forms, _ = list_retuned_forms(fretboard.tuning, fretboard.top_fret, partial=False)
    shapes = np.concatenate([shapes, forms])
    upper, _ = move_along(shapes, np.zeros(len(shapes)), fretboard.top_fret)
    upper = upper[np.unique(pack_frets(upper), return_index=True)[1]]
    frets = np.concatenate([np.full((len(upper), n_extra), -1, np.int8), upper], axis=1)
    grades = grade_shapes(frets, fretboard.tuning, partial=False)
    return frets[grades > 0.0], grades[grades > 0.0]


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
    found = look_up_grades(listed, pack_frets(upper))
    moved = look_up_grades(movable, pack_frets(move_down(upper))) - MOVED_GRADE_LOSS
    grades = np.where((upper == 0).any(axis=1), found, np.maximum(found, moved.clip(min=0.0)))
    grades = np.where(have_standard_distances(frets, tuning), grades, 0.0)
    return np.maximum(grades, grade_retuned_forms(frets, tuning, partial=partial))


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
    shapes, nats = add_partial_strums(*_shipped_book())
    frets, grades = move_along(shapes, nats, top_fret)
    fits = have_standard_distances(frets, tuning)
    frets, grades = frets[fits], grades[fits]
    own, nats = list_retuned_forms(tuning, top_fret)
    return np.concatenate([frets, own]), np.concatenate([grades, nats])
