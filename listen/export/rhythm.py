"""Rhythm on paper: steps of the grid as note values.

Conventions: one step is a twelfth of a beat. A value has a type (MusicXML's words), dots, and whether it is one of
three in the time of two. A note is cut where a beat begins unless what remains can be written as one value; the
pieces are tied.

In a simple metre a beat whose notes all begin on its quarters is written plainly, any other beat as a triplet (with
sextuplets and finer values as they are needed), so that every step has its exact value. In a compound metre all steps
are plain. Where a metre swings, a beat of two unequal halves is written as two equal ones: the head of the chart says
that it swings (common practice of printed charts).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from listen.reading import STEPS_PER_BEAT, Metre

TYPES = ("128th", "64th", "32nd", "16th", "eighth", "quarter", "half", "whole", "breve")
SWING_STEP, STRAIGHT_STEP, TRIPLET_STEP, DOTTED = 8, 6, 4, 18
FREE_METRE = Metre(4, 4, 4, 60.0)  # free time: a quarter note a second
_PLAIN = {3: (-2, 0), 6: (-1, 0), 9: (-1, 1), 12: (0, 0)}  # steps -> type against the beat's, dots
_TRIPLET = {1: (-3, 0), 2: (-2, 0), 3: (-2, 1), 4: (-1, 0), 6: (-1, 1), 8: (0, 0)}
_COMPOUND = {1: (-3, 0), 2: (-2, 0), 3: (-2, 1), 4: (-1, 0), 6: (-1, 1), 8: (0, 0), 12: (0, 1)}
_BEATS = {1: (0, 0), 2: (1, 0), 3: (1, 1), 4: (2, 0)}
_COMPOUND_BEATS = {1: (0, 1), 2: (1, 1), 4: (2, 1)}


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a bar that is written as one value.

    Parameters
    ----------
    start, length : int
        Steps from the bar line, as written (a swung off-beat is moved to the half).
    type : str
        One of :data:`TYPES`.
    dots : int
    is_triplet : bool
        One of three in the time of two.
    opens, closes : bool
        Whether it begins or ends a bracket.
    """

    start: int
    length: int
    type: str
    dots: int = 0
    is_triplet: bool = False
    opens: bool = False
    closes: bool = False


def steps_per_quarter(metre: Metre) -> int:
    """Return how many steps a quarter note has: MusicXML's divisions.

    Examples
    --------
    >>> steps_per_quarter(Metre(4, 4, 2, 90.0)), steps_per_quarter(Metre(2, 8, 3, 60.0))
    (12, 8)
    """
    return int(Fraction(STEPS_PER_BEAT) / metre.quarters_per_beat)


def write_steps(marks: list[int], metre: Metre, *, n_steps: int, phase: int = 0) -> dict[int, int]:
    """Return where each place of a bar is written, where the metre swings.

    A swung off-beat moves to the half beat, and in a beat that has a first third as well to the last third.

    Parameters
    ----------
    marks : list of int
        Every place of the bar where a value begins.
    metre : Metre
    n_steps : int
        Of the bar.
    phase : int
        Steps before its first beat.
    """
    written = {mark: mark for mark in (*marks, 0, n_steps)}
    if not metre.is_swung:
        return written
    for start in range(phase - STEPS_PER_BEAT if phase else 0, n_steps, STEPS_PER_BEAT):
        inside = [mark - start for mark in marks if start < mark < start + STEPS_PER_BEAT]
        if inside == [SWING_STEP]:
            written[start + SWING_STEP] = start + STRAIGHT_STEP
        elif inside == [TRIPLET_STEP, STRAIGHT_STEP]:  # the swung off-beat of a beat in three
            written[start + STRAIGHT_STEP] = start + SWING_STEP
    return written


def split_bar(spans: list[tuple[int, int]], metre: Metre, *, phase: int = 0) -> list[list[Piece]]:
    """Return the values of each stretch of a bar.

    Parameters
    ----------
    spans : list of (int, int)
        Start and end in written steps, in order and without gaps between them.
    metre : Metre
    phase : int
        Steps before the bar's first beat.

    Returns
    -------
    list of list of Piece
        One list a stretch.

    Examples
    --------
    >>> [[piece.type for piece in row] for row in split_bar([(0, 18), (18, 48)], Metre(4, 4, 2, 90.0))]
    [['quarter'], ['eighth', 'half']]
    """
    inner = {edge for span in spans for edge in span if (edge - phase) % STEPS_PER_BEAT}
    triplets = set()
    if not metre.is_compound:
        triplets = {(edge - phase) // STEPS_PER_BEAT for edge in inner if (edge - phase) % 3}
    rows = [_split(start, end, metre, phase, triplets) for start, end in spans]
    return _bracket(rows, phase)


def _split(start: int, end: int, metre: Metre, phase: int, triplets: set[int]) -> list[Piece]:
    whole = _COMPOUND_BEATS if metre.is_compound else _BEATS
    pieces: list[Piece] = []
    at = start
    while at < end:
        beat, inside = divmod(at - phase, STEPS_PER_BEAT)
        next_beat = at - inside + STEPS_PER_BEAT
        if inside == 0 and end - at >= STEPS_PER_BEAT:
            if not metre.is_compound and end - at == DOTTED and beat + 1 not in triplets:
                pieces.append(_piece(at, DOTTED, (0, 1), metre))
                break
            n_beats = max(n for n in whole if n * STEPS_PER_BEAT <= end - at)
            pieces.append(_piece(at, n_beats * STEPS_PER_BEAT, whole[n_beats], metre))
            at += n_beats * STEPS_PER_BEAT
            continue
        if _is_syncope(at, end, inside, beat, triplets, metre):
            pieces.append(_piece(at, STEPS_PER_BEAT, (0, 0), metre))
            at += STEPS_PER_BEAT
            continue
        stop = min(end, next_beat)
        table = _COMPOUND if metre.is_compound else _TRIPLET if beat in triplets else _PLAIN
        for length in _cut(stop - at, table):
            pieces.append(_piece(at, length, table[length], metre, is_triplet=table is _TRIPLET))
            at += length
    return pieces


def _is_syncope(at: int, end: int, inside: int, beat: int, triplets: set[int], metre: Metre) -> bool:
    """Whether a note from half beat to half beat can be written as one value: not over the middle of four beats."""
    if metre.is_compound or inside != STRAIGHT_STEP or end - at != STEPS_PER_BEAT:
        return False
    over_middle = metre.beats_per_bar == 4 and beat == 1
    return not over_middle and beat not in triplets and beat + 1 not in triplets


def _cut(length: int, table: dict[int, tuple[int, int]]) -> list[int]:
    parts = []
    while length:
        parts.append(max(value for value in table if value <= length))
        length -= parts[-1]
    return parts


def _piece(start: int, length: int, value: tuple[int, int], metre: Metre, *, is_triplet: bool = False) -> Piece:
    shift, dots = value
    beat_type = {1: 7, 2: 6, 4: 5, 8: 4, 16: 3, 32: 2}.get(metre.beat_unit, 5) + (1 if metre.is_compound else 0)
    return Piece(start, length, TYPES[min(max(beat_type + shift, 0), len(TYPES) - 1)], dots, is_triplet)


def _bracket(rows: list[list[Piece]], phase: int) -> list[list[Piece]]:
    """Mark where each beat's bracket begins and ends."""
    flat = [(r, p, piece) for r, row in enumerate(rows) for p, piece in enumerate(row) if piece.is_triplet]
    ends: dict[int, list[tuple[int, int]]] = {}
    for r, p, piece in flat:
        ends.setdefault((piece.start - phase) // STEPS_PER_BEAT, []).append((r, p))
    for places in ends.values():
        (r, p), (last_r, last_p) = places[0], places[-1]
        rows[r][p] = replace(rows[r][p], opens=True)
        rows[last_r][last_p] = replace(rows[last_r][last_p], closes=True)
    return rows
