"""The chart of a part in text: what a player needs on the stand.

Two levels. *Plain*: the chords of each bar, four bars a line, repeats folded, N.C. where there is no chord, the
strumming pattern once. *Full*: the strokes that differ from the pattern, under the chord they belong to, with pushed
changes, hits and decorations. What could not be read is an empty bar that says where to listen.

The layout is this project's own. In a bar with one chord at its beginning the name stands alone; where a chord comes
later, every beat is shown, ``·`` for a beat without a change, and ``&`` before a name that comes half a beat late.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from listen.export.bar import find_metre
from listen.export.bars import LaidPart, lay_bars
from listen.export.chart_lines import NUMBER_WIDTH, plain_lines
from listen.export.chart_remarks import number_lines, remark_lines
from listen.export.free_chart import free_lines, full_free_lines
from listen.export.full_chart import render_full_bars
from listen.export.head import head_lines
from listen.export.held_names import HeldNames, NameStyle
from listen.export.listed_shapes import call_by_shape, find_rarer_places, list_first_spans
from listen.export.shown_pattern import find_shown_pattern, pattern_words
from listen.export.stroke_columns import pattern_columns
from listen.export.stroke_signs import ARROWS, LETTERS
from listen.export.style import TextStyle, visible_width, wrap_text
from listen.reading import Part


@dataclass(frozen=True, slots=True)
class ChartView:
    """What of a part is shown, and how.

    Parameters
    ----------
    level : "plain" or "full"
    names : "played", "sounding", "nashville" or "roman"
    """

    level: Literal["plain", "full"] = "plain"
    names: NameStyle = "played"


def render_chart(part: Part, *, style: TextStyle | None = None, view: ChartView | None = None) -> str:
    """Render a part as a chart.

    Parameters
    ----------
    part : Part
    style : TextStyle or None
        Signs and width; Unicode and 80 columns when None.
    view : ChartView or None

    Returns
    -------
    str
        Lines, each ended by a line feed.
    """
    style, view = style or TextStyle(), view or ChartView()
    laid, names = lay_bars(part), HeldNames(part, view.names)
    blocks = [head_lines(laid, names, style)]
    metre = find_metre(part)
    is_full = view.level == "full"
    if metre is None:
        blocks.append(full_free_lines(laid, names, style) if is_full else free_lines(laid, names, style))
    else:
        blocks.append(_pattern_lines(part, style))
        blocks.append(render_full_bars(laid, names, style) if is_full else plain_lines(laid, names, style))
    blocks.append(_shape_lines(laid, names, style))
    if is_full:
        blocks.append(number_lines(part, names, style))
    blocks.append(remark_lines(laid, names, style, full=is_full))
    lines = [line for block in blocks if block for line in (*block, "")]
    return "\n".join(line.rstrip() for line in lines[:-1]) + "\n"


def _pattern_lines(part: Part, style: TextStyle) -> list[str]:
    pattern = find_shown_pattern(part)
    if pattern is None or part.bars.metre is None:
        return []
    signs = ARROWS if style.unicode else LETTERS
    columns = pattern_columns(part, pattern, part.bars.metre, signs)
    wide = max(visible_width(text) for column in columns for text in (column.count, column.sign)) + 2
    words = pattern_words(pattern, signs.legend((column.sign for column in columns), in_pattern=True))
    wide = min(wide, max((style.width - NUMBER_WIDTH) // len(columns), 2))
    rows = ["".join(text.ljust(wide) for text in row) for row in
            ([column.count for column in columns], [column.sign for column in columns])]  # fmt: skip
    return [
        *wrap_text(style.plain(words), width=style.width),
        *(f"{'':{NUMBER_WIDTH}}{style.plain(row)}" for row in rows),
    ]


def _shape_lines(laid: LaidPart, names: HeldNames, style: TextStyle) -> list[str]:
    """List each different shape once, in the order in which they come."""
    rows: dict[tuple[str, str], str] = {}
    rarer = find_rarer_places(laid)
    for held in list_first_spans(laid):
        if held.shape is None:
            continue
        span = call_by_shape(held, laid.part)
        text = names.of_span(span)
        sounds = span.name.printed if span.name is not None and span.name.played_as is not None else ""
        other = "" if not sounds or names.style == "sounding" else f"sounds {sounds}"
        if names.style != "played" and span.name is not None:
            other = span.name.printed if names.style != "sounding" else other
        place = "" if held.name is None else rarer.get((held.name.text, held.shape.shape), "")
        frets = style.plain(f"{held.shape.shape.text} ({place})" if place else held.shape.shape.text)
        rows.setdefault((text, frets), other)
    if not rows:
        return []
    wide_name = max(visible_width(style.plain(text)) for text, _ in rows)
    wide_frets = max(visible_width(frets) for _, frets in rows)
    wide_other = max(visible_width(style.plain(other)) for other in rows.values())
    cells = []
    for (text, frets), other in rows.items():
        name, extra = style.plain(text), style.plain(other)
        cell = f"{name}{'':{wide_name - visible_width(name)}}  {frets:<{wide_frets}}"
        cells.append(cell + (f"  {extra}{'':{wide_other - visible_width(extra)}}" if wide_other else ""))
    wide = max(map(visible_width, cells)) + 4
    a_line = max(1, (style.width - NUMBER_WIDTH + 4) // wide)
    lines = []
    for at in range(0, len(cells), a_line):
        row = "".join(cell + " " * (wide - visible_width(cell)) for cell in cells[at : at + a_line])
        lines.append(f"{'':{NUMBER_WIDTH}}{row}")
    return ["Shapes, low string first", *lines]
