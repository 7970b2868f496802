"""The full chart: every stroke of every bar, under the chord it belongs to."""

from __future__ import annotations

from dataclasses import dataclass

from listen.export.bar import Bar
from listen.export.bars import find_bars
from listen.export.held_names import HeldNames
from listen.export.stroke_signs import ARROWS, LETTERS, Signs, bar_cells, count_row
from listen.export.style import TextStyle, visible_width, wrap_text
from listen.reading import STEPS_PER_BEAT, Part

PUSHED = "<"  # before a name: the change comes before its beat
MARGIN = 4


@dataclass(frozen=True, slots=True)
class _Block:
    """One bar as three rows of the same width."""

    number: int
    names: str
    strokes: str
    counts: str

    @property
    def width(self) -> int:
        return len(self.strokes)


def render_full_bars(part: Part, names: HeldNames, style: TextStyle) -> list[str]:
    """Render every bar, as many a line as fit.

    Returns
    -------
    list of str
        Lines, with a legend of the signs that occur at the end.
    """
    signs = ARROWS if style.unicode else LETTERS
    blocks = []
    shown: list[str] = []
    before = ""
    for bar in find_bars(part):
        block, before, strokes = _block(bar, part, names, before, signs=signs, style=style)
        blocks.append(block)
        shown += strokes
    lines: list[str] = []
    row: list[_Block] = []
    for block in blocks:
        if row and MARGIN + sum(one.width + 2 for one in row) + block.width + 3 > style.width:
            lines += [*_line(row, style), ""]
            row = []
        row.append(block)
    if row:
        lines += _line(row, style)
    legend = signs.legend(shown)
    if any(change.is_pushed for bar in find_bars(part) for change in bar.changes):
        legend += f", {PUSHED} before its beat"
    return [*lines, "", *wrap_text(style.plain(legend), width=style.width)] if legend else lines


def _block(
    bar: Bar, part: Part, names: HeldNames, before: str, *, signs: Signs, style: TextStyle
) -> tuple[_Block, str, list[str]]:
    per_beat, strokes = bar_cells(bar, part.metre, signs, n_strings=part.fretboard.n_strings)
    counts = count_row(len(strokes), per_beat, part.metre)
    size = STEPS_PER_BEAT // per_beat
    labels: list[tuple[int, str]] = []
    for change in bar.changes:
        text = style.plain(names.of_change(change))
        if text == before and not change.is_pushed:
            continue
        before = text
        mark = PUSHED if change.is_pushed else ""
        shown = f"({text})" if change.is_passing else text
        at, written = change.step // size, mark + shown
        if labels and labels[-1][0] == at:  # two in one cell stand side by side, not one over the other
            written = f"{labels.pop()[1]} {written}"
        labels.append((at, written))
    cell = max(2, *(visible_width(sign) + 1 for sign in (*strokes, *counts)))
    for index, (at, text) in enumerate(labels):  # a name must not run into the next
        until = labels[index + 1][0] if index + 1 < len(labels) else len(strokes)
        cell = max(cell, -(-(len(text) + 1) // max(1, until - at)))
    top = [" "] * (cell * len(strokes))
    for at, text in labels:
        for offset, sign in enumerate(text):
            if at * cell + offset < len(top):
                top[at * cell + offset] = sign
    rows = ["".join(sign.ljust(cell) for sign in row) for row in (strokes, counts)]
    return _Block(bar.number, "".join(top), rows[0], rows[1]), before, strokes


def _line(row: list[_Block], style: TextStyle) -> list[str]:
    number = str(row[0].number).rjust(MARGIN - 1)
    empty = " " * (MARGIN - 1)
    top = f"{style.weigh(number, 'faint')} |" + "|".join(f" {block.names}" for block in row) + "|"
    middle = f"{empty} |" + "|".join(f" {style.plain(block.strokes)}" for block in row) + "|"
    below = f"{empty}  " + " ".join(f" {style.plain(block.counts)}" for block in row)
    return [top, middle, style.weigh(below.rstrip(), "faint")]
