"""Tables of shapes with their grades: listed places, and forms without open strings, which may be moved along the neck.

Frets are counted from the capo, highest-numbered string first, -1 not played; grades are nats over a shape that is in
no book.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

N_BOOK_STRINGS = 6
MOVED_GRADE_LOSS = 0.5  # nats that a movable form loses away from a listed place
LEFT_OUT_GRADE_LOSS = 1.0  # nats for each outer string of a listed shape that the stroke leaves out
LEAST_STRINGS_OF_A_PARTIAL_STRUM = 3
_RADIX = 64  # frets of six strings packed in one integer, -1 stored as 0; a neck has 36 at most

Frets = npt.NDArray[np.int8]
Table = tuple[npt.NDArray[np.int64], npt.NDArray[np.float64]]  # sorted keys, grades


def parse_shapes(text: str) -> tuple[Frets, npt.NDArray[np.float64]]:
    """Parse the shapes as they are listed, with their grades."""
    rows = [line.split() for line in text.splitlines() if line and not line.startswith("#")]
    shapes = [[-1 if fret == "x" else int(fret) for fret in row[0].split("-")] for row in rows]
    return np.array(shapes, np.int8).reshape(-1, N_BOOK_STRINGS), np.array([float(row[1]) for row in rows])


def tabulate_shapes(shapes: Frets, nats: npt.NDArray[np.float64], *, partial: bool) -> tuple[Table, Table]:
    """Tabulate listed places, and forms without open strings moved down to fret 1."""
    if partial:
        shapes, nats = add_partial_strums(shapes, nats)
    movable = ~(shapes == 0).any(axis=1)
    return _sort_table(pack_frets(shapes), nats), _sort_table(pack_frets(move_down(shapes[movable])), nats[movable])


def add_partial_strums(shapes: Frets, nats: npt.NDArray[np.float64]) -> tuple[Frets, npt.NDArray[np.float64]]:
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


def look_up_grades(table: Table, keys: npt.NDArray[np.int64]) -> npt.NDArray[np.float64]:
    """Return the grade of each key, 0 where it is not in the table."""
    if not len(table[0]):
        return np.zeros(len(keys))
    place = np.searchsorted(table[0], keys).clip(max=len(table[0]) - 1)
    return np.where(table[0][place] == keys, table[1][place], 0.0)


def move_down(frets: npt.NDArray[np.int8]) -> npt.NDArray[np.int8]:
    """Move forms without open strings along the neck until their lowest fret is 1."""
    low = np.where(frets > 0, frets, _RADIX).min(axis=1)
    return np.where(frets > 0, frets - low[:, None] + 1, frets).astype(np.int8)


def pack_frets(frets: npt.NDArray[np.integer]) -> npt.NDArray[np.int64]:
    """Pack rows of frets (-1 not played) into one integer each."""
    powers = _RADIX ** np.arange(frets.shape[1], dtype=np.int64)
    packed: npt.NDArray[np.int64] = (frets.astype(np.int64) + 1) @ powers
    return packed


def move_along(shapes: Frets, nats: npt.NDArray[np.float64], top_fret: int) -> tuple[Frets, npt.NDArray[np.float64]]:
    """Add forms without open strings at every place of a neck."""
    movable = ~(shapes == 0).any(axis=1)
    lowest = move_down(shapes[movable])
    moved = [np.where(lowest > 0, lowest + by, lowest) for by in range(top_fret)]
    frets = np.concatenate([shapes, *moved]).astype(np.int8)
    grades = np.concatenate([nats, *[nats[movable] - MOVED_GRADE_LOSS] * len(moved)])
    on_neck = frets.max(axis=1) <= top_fret
    return frets[on_neck], grades[on_neck]
