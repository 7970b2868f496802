"""The strokes of a bar in columns: one a beat and one a half of it, and more only where something is struck.

A bar is so no wider than what is in it: one stroke on a sixteenth does not cut every beat into sixteenths. The counts
under the columns say when they come: ``1 & 2 e &``, all six of 6/8, ``·`` for any other place.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from listen.export.bar import Bar
from listen.export.held_names import HeldNames
from listen.export.shown_pattern import find_usual_strings
from listen.export.stroke_signs import RAISED, Signs
from listen.reading import STEPS_PER_BEAT, Assignment, Metre, Part, StrummingPattern

_STRAIGHT = {3: "e", 6: "&", 9: "a"}
_SWUNG_OFFBEAT = 8
_EIGHTH = 4  # steps, of a compound beat


@dataclass(frozen=True, slots=True)
class StrokeColumn:
    """One place of a bar.

    Parameters
    ----------
    step : int
        From the bar line.
    sign : str
        What is struck there; empty for nothing.
    count : str
    is_beat : bool
        Whether a beat begins.
    """

    step: int
    sign: str
    count: str
    is_beat: bool

    @property
    def base(self) -> str:
        """Its sign without what is added to it."""
        return self.sign.rstrip(RAISED)

    @property
    def raised(self) -> str:
        """What is added to its sign."""
        return self.sign[len(self.base) :]


def bar_columns(bar: Bar, metre: Metre | None, signs: Signs, names: HeldNames) -> list[StrokeColumn]:
    """Return the columns of a bar: its beats, their halves, and every place where a stroke or a chord begins."""
    struck: dict[int, str] = {}
    for placed in bar.strokes:
        struck[placed.step] = struck.get(placed.step, "") + signs.of_stroke(placed, names=names)
    steps = {*struck, *(change.step for change in bar.changes)}
    return _columns(struck, steps, metre, n_steps=bar.n_steps, before=bar.before)


def pattern_columns(part: Part, pattern: StrummingPattern, metre: Metre, signs: Signs) -> list[StrokeColumn]:
    """Return the columns of the pattern of a part."""
    picked = find_usual_strings(part, pattern)
    struck = {
        stroke.step: (
            "".join(_string_sign(usual, part, signs) for usual in picked.get(stroke.step, ()))
            or signs.of_kind(stroke.kind, stroke.direction)
        )
        + (signs.accent if stroke.accent else "")
        for stroke in pattern.strokes
        if stroke.step < metre.steps_per_bar
    }
    return _columns(struck, struck, metre, n_steps=metre.steps_per_bar, before=0)


def _string_sign(usual: frozenset[int], part: Part, signs: Signs) -> str:
    """Return the sign of a string that is picked: its number, or whether it is a low one."""
    if len(usual) == 1:
        return str(*usual)
    is_low = all(part.fretboard.is_low_string(part.fretboard.n_strings - number) for number in usual)
    return signs.bass if is_low else signs.single


def set_columns(assignment: Assignment, signs: Signs) -> list[StrokeColumn]:
    """Return the columns of a strumming pattern that was set."""
    struck = {one.step: signs.of_kind("muted" if one.is_muted else "full", one.direction) for one in assignment.pattern}
    metre = Metre(assignment.beats_per_bar, assignment.signature[1], 3 if assignment.is_compound else 2, 60.0)
    return _columns(struck, struck, metre, n_steps=assignment.steps_per_bar, before=0)


def split_columns(widths: Sequence[int], columns: Sequence[StrokeColumn], *, room: int) -> list[tuple[int, int]]:
    """Cut a bar that is wider than the room, at its beats where that can be: first and last column of each piece."""
    pieces, first, used, beat = [], 0, 0, 0
    for at, wide in enumerate(widths):
        if columns[at].is_beat:
            beat = at
        if used + wide > room and at > first:
            cut = beat if beat > first else at
            pieces.append((first, cut))
            first, used = cut, sum(widths[cut:at])
        used += wide
    return [*pieces, (first, len(widths))]


def _columns(
    struck: dict[int, str], steps: Iterable[int], metre: Metre | None, *, n_steps: int, before: int
) -> list[StrokeColumn]:
    """Return a column for each beat, each count of the metre and each step given; a pickup counts from `before` on."""
    between: tuple[int, ...] = ()
    if metre is not None and metre.is_compound:
        between = (_EIGHTH, 2 * _EIGHTH)
    elif metre is not None:
        between = (_SWUNG_OFFBEAT,) if _is_swung(metre) else (STEPS_PER_BEAT // 2,)
    whole = range(-(before % STEPS_PER_BEAT), n_steps, STEPS_PER_BEAT)
    counted = {start + inside for start in whole for inside in (0, *between)}
    shown = sorted({0, *steps, *(step for step in counted if 0 <= step < n_steps)})
    return [
        StrokeColumn(step, struck.get(step, ""), _count(step + before, metre), (step + before) % STEPS_PER_BEAT == 0)
        for step in shown
    ]


def _count(step: int, metre: Metre | None) -> str:
    beat, inside = divmod(step, STEPS_PER_BEAT)
    if metre is not None and metre.is_compound:
        return str(3 * beat + inside // _EIGHTH + 1) if inside % _EIGHTH == 0 else "·"
    if inside == 0:
        return str(beat + 1)
    if metre is not None and _is_swung(metre) and inside == _SWUNG_OFFBEAT:
        return "&"
    return _STRAIGHT.get(inside, "·")


def _is_swung(metre: Metre) -> bool:
    return metre.is_swung and metre.division == 3
