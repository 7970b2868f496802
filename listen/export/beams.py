"""Beams: which short notes of a bar are joined, beat by beat.

Conventions: notes shorter than a quarter that follow one another inside a beat are joined; a rest or a longer note ends
the beam. Each level joins what is as short or shorter; one note alone on its level has a hook towards its neighbour
(common practice; MusicXML 4.0, element ``beam``: one for each level, from the longest value on).
"""

from __future__ import annotations

from collections.abc import Sequence

from listen.export.rhythm import TYPES, Piece
from listen.reading import STEPS_PER_BEAT

_LEVELS = {name: TYPES.index("quarter") - at for at, name in enumerate(TYPES)}


def find_beams(pieces: Sequence[tuple[Piece, bool]], *, phase: int = 0) -> list[tuple[str, ...]]:
    """Return the beams of each piece of a bar, one text a level; none where it stands alone.

    Parameters
    ----------
    pieces : sequence of (Piece, bool)
        In order, with whether something is struck or held; a rest is not.
    phase : int
        Steps before the bar's first beat.

    Examples
    --------
    >>> eighth, sixteenths = Piece(0, 6, "eighth"), [Piece(6, 3, "16th"), Piece(9, 3, "16th")]
    >>> find_beams([(piece, True) for piece in (eighth, *sixteenths)])
    [('begin',), ('continue', 'begin'), ('end', 'end')]
    """
    found: list[tuple[str, ...]] = [() for _ in pieces]
    group: list[int] = []
    for index, (piece, sounds) in enumerate(pieces):
        joins = sounds and _LEVELS[piece.type] > 0
        beat = (piece.start - phase) // STEPS_PER_BEAT
        if group and (not joins or beat != (pieces[group[0]][0].start - phase) // STEPS_PER_BEAT):
            _join(pieces, group, found)
            group = []
        if joins:
            group.append(index)
    _join(pieces, group, found)
    return found


def _join(pieces: Sequence[tuple[Piece, bool]], group: Sequence[int], found: list[tuple[str, ...]]) -> None:
    if len(group) < 2:
        return
    levels = [_LEVELS[pieces[index][0].type] for index in group]
    for place, index in enumerate(group):
        found[index] = tuple(_beam(levels, place, level) for level in range(1, levels[place] + 1))


def _beam(levels: Sequence[int], place: int, level: int) -> str:
    before = place > 0 and levels[place - 1] >= level
    after = place + 1 < len(levels) and levels[place + 1] >= level
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "backward hook" if place else "forward hook"
