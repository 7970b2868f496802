"""The chart of a part in free time: each chord at its time, and in the full chart the strokes under it."""

from __future__ import annotations

from listen.export.bar import Bar
from listen.export.bars import LaidPart
from listen.export.doubts import MARK, find_doubts
from listen.export.held_names import HeldNames
from listen.export.stroke_signs import ARROWS, LETTERS
from listen.export.style import TextStyle, visible_width, wrap_text
from listen.reading import clock_text

CHORDS_A_LINE = 4
LEAST_CELL = 15  # columns, so that a short name does not make the lines uneven


def free_stretches(laid: LaidPart, names: HeldNames) -> tuple[tuple[Bar, str], ...]:
    """Return what holds from when on; what only goes on under the same name is joined to it."""
    first_of = {doubt.first_event for doubt in find_doubts(laid.part, names)}
    rows: list[tuple[Bar, str, str]] = []
    for bar in laid.played:
        change = bar.changes[0]
        text = names.of_change(change)
        if rows and (rows[-1][1] == text or change.is_passing):
            continue
        is_marked = change.span is not None and change.span.first_event in first_of
        rows.append((bar, text, f"{text}{MARK}" if is_marked else text))
    return tuple((bar, shown) for bar, _, shown in rows)


def free_lines(laid: LaidPart, names: HeldNames, style: TextStyle) -> list[str]:
    """Return the chords by the clock, a few a line and one under the other."""
    cells = [f"{clock_text(bar.start_s):>5}  {style.plain(text)}" for bar, text in free_stretches(laid, names)]
    if not cells:
        return []
    room = style.width + 3
    wide = max(LEAST_CELL, *(visible_width(cell) + 3 for cell in cells))
    a_line = max(1, min(CHORDS_A_LINE, room // wide))
    wide = max(wide, min(room // a_line, wide + 4))
    return [
        "".join(cell + " " * (wide - visible_width(cell)) for cell in cells[at : at + a_line])
        for at in range(0, len(cells), a_line)
    ]


def full_free_lines(laid: LaidPart, names: HeldNames, style: TextStyle) -> list[str]:
    """Return every stretch on a line of its own, with its strokes in their order and a legend of their signs."""
    signs = ARROWS if style.unicode else LETTERS
    rows: list[tuple[str, list[str]]] = []
    for bar in laid.played:
        strokes = [signs.of_stroke(placed, names=names) for placed in bar.strokes]
        rows.append((f"{clock_text(bar.start_s):>5}  {style.plain(names.of_change(bar.changes[0]))}", strokes))
    wide = max((visible_width(head) for head, _ in rows), default=0) + 3
    wide = min(wide, style.width // 2)
    lines: list[str] = []
    for head, strokes in rows:
        first, *more = wrap_text(style.plain(" ".join(strokes)), width=style.width, indent=" " * wide) or ("",)
        lines.append((head + " " * (wide - visible_width(head)) + " " + first.strip()).rstrip()[: style.width])
        lines += more
    legend = signs.legend([sign for _, strokes in rows for sign in strokes])
    return [*lines, "", *wrap_text(style.plain(legend), width=style.width)] if legend else lines
