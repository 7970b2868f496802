"""One short sign for each stroke, and the counts that stand under them.

Conventions: an arrow points the way the hand moves. A string picked alone is its number, a note of a line its name.
Counting follows the trade: ``1 & 2 &``, ``1 e & a``, and all six of 6/8.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import gcd

from listen.evidence import Direction
from listen.export.bar import Bar, PlacedStroke
from listen.export.labels import printed
from listen.reading import STEPS_PER_BEAT, Metre, StrokeKind, StrummingPattern

_COUNTS = {2: ("", "&"), 3: ("", "·", "·"), 4: ("", "e", "&", "a"), 6: ("", "·", "·", "·", "·", "·")}


@dataclass(frozen=True, slots=True)
class Signs:
    """The signs that a place can show.

    Parameters
    ----------
    down, up, untold : str
        Strokes of the chord.
    muted : str
    bass, single : str
        In a pattern: a low string of the chord alone, another string alone.
    top : str
        Added where only the upper strings were struck.
    accent, palm : str
        Added to an accented and to a palm-muted stroke.
    """

    down: str = "↓"
    up: str = "↑"
    untold: str = "↕"
    muted: str = "×"
    bass: str = "B"
    single: str = "•"
    top: str = "'"
    accent: str = ">"
    palm: str = "_"

    def of_direction(self, direction: Direction | None) -> str:
        """Return the arrow."""
        return self.untold if direction is None else self.up if direction == "up" else self.down

    def of_kind(self, kind: StrokeKind, direction: Direction | None) -> str:
        """Return the sign of a strummed stroke."""
        alone = {"muted": self.muted, "bass": self.bass, "single": self.single}.get(kind)
        if alone is not None:
            return alone
        return self.of_direction(direction) + (self.top if kind == "top" else "")

    def of_stroke(self, placed: PlacedStroke, *, n_strings: int) -> str:
        """Return the sign of a stroke as it was played."""
        stroke, event = placed.stroke, placed.event
        marks = {*stroke.marks, *event.marks, *(mark for note in stroke.notes for mark in note.marks)}
        extra = (self.accent if "accent" in marks else "") + (self.palm if "palm mute" in marks else "")
        if event.kind == "line" and stroke.notes:
            sign = "".join(printed(note.pitch.name.rstrip("-0123456789")) for note in stroke.notes)
        elif (event.kind == "picked" or stroke.kind in {"bass", "single"}) and stroke.notes:
            strings = [n_strings - note.string_index for note in stroke.notes if note.string_index is not None]
            sign = "".join(map(str, strings)) or self.of_direction(stroke.direction)
        else:
            sign = self.of_kind(stroke.kind, stroke.direction)
        return sign + extra

    def legend(self, shown: Iterable[str]) -> str:
        """Explain the signs that occur; names of notes need no explanation."""
        text = "".join(sign for sign in shown if sign == self.bass or sign[:1] not in set("ABCEFG"))
        words = (
            (self.down, "down"), (self.up, "up"), (self.untold, "way not heard"), (self.muted, "damped"),
            (self.bass, "a low string alone"), (self.single, "another string alone"),
            (self.top, "upper strings only"), (self.accent, "accent"), (self.palm, "palm mute"),
        )  # fmt: skip
        parts = [f"{sign} {word}" for sign, word in words if sign in text]
        if any(sign.isdigit() for sign in text):
            parts.append("a number: that string alone")
        return ", ".join(parts)


ARROWS = Signs()
LETTERS = Signs(down="D", up="U", untold="S", muted="x", single="o")


def cells_per_beat(steps: Iterable[int], metre: Metre | None) -> int:
    """Return into how many cells a beat is cut so that every step has its own: at least the metre's division.

    Examples
    --------
    >>> cells_per_beat([0, 12, 18], Metre(4, 4, 2, 90.0)), cells_per_beat([0, 9], Metre(4, 4, 2, 90.0))
    (2, 4)
    """
    least = 1 if metre is None else metre.division
    common = STEPS_PER_BEAT // least if STEPS_PER_BEAT % least == 0 else 1
    for step in steps:
        common = gcd(common, step)
    return STEPS_PER_BEAT // common


def count_row(n_cells: int, per_beat: int, metre: Metre | None) -> list[str]:
    """Return what is counted under each cell; a bar that is too short is a pickup and counts up to its end."""
    row = []
    n_full = n_cells if metre is None else metre.beats_per_bar * per_beat
    compound = metre is not None and metre.is_compound
    for cell in range(max(0, n_full - n_cells), max(n_full, n_cells)):
        beat, part = divmod(cell, per_beat)
        if compound and per_beat % 3 == 0:
            eighth, rest = divmod(cell, per_beat // 3)
            row.append("·" if rest else str(eighth + 1))
        else:
            row.append(str(beat + 1) if part == 0 else _COUNTS.get(per_beat, ("",) + ("·",) * 11)[part])
    return row


def pattern_rows(pattern: StrummingPattern, metre: Metre, signs: Signs) -> tuple[list[str], list[str]]:
    """Return the strumming pattern: what is counted, and below it the strokes."""
    per_beat = cells_per_beat([stroke.step for stroke in pattern.strokes], metre)
    size = STEPS_PER_BEAT // per_beat
    strokes = [""] * (metre.beats_per_bar * per_beat)
    for stroke in pattern.strokes:
        sign = signs.of_kind(stroke.kind, stroke.direction) + (signs.accent if stroke.accent else "")
        if stroke.step // size < len(strokes):
            strokes[stroke.step // size] = sign
    return count_row(len(strokes), per_beat, metre), strokes


def bar_cells(bar: Bar, metre: Metre | None, signs: Signs, *, n_strings: int) -> tuple[int, list[str]]:
    """Return how many cells a beat of a bar has, and each cell's strokes."""
    steps = [*(placed.step for placed in bar.strokes), *(change.step for change in bar.changes)]
    per_beat = cells_per_beat(steps, metre)
    size = STEPS_PER_BEAT // per_beat
    cells = [""] * max(1, -(-bar.n_steps // size))
    for placed in bar.strokes:
        cells[min(placed.step // size, len(cells) - 1)] += signs.of_stroke(placed, n_strings=n_strings)
    return per_beat, cells
