"""The chart of bars as HTML, by itself: for the sheet, and for any page that shows a part."""

from __future__ import annotations

from typing import Any

from listen.export.bar import find_metre
from listen.export.bars import LaidPart
from listen.export.held_names import HeldNames
from listen.export.sheet_chart import sheet_lines, sheet_stretches
from listen.export.shown_pattern import find_shown_pattern, pattern_words
from listen.export.stroke_columns import pattern_columns
from listen.export.stroke_signs import ARROWS
from listen.reading import Part


def chart_content(laid: LaidPart, names: HeldNames) -> dict[str, Any]:
    """Return what the template of the chart names: ``pattern``, ``lines``, ``stretches``."""
    measured = find_metre(laid.part) is not None
    return {
        "pattern": _pattern(laid.part),
        "lines": sheet_lines(laid, names) if measured else [],
        "stretches": [] if measured else sheet_stretches(laid, names),
    }


def _pattern(part: Part) -> dict[str, Any] | None:
    pattern = find_shown_pattern(part)
    if pattern is None or part.bars.metre is None:
        return None
    columns = pattern_columns(part, pattern, part.bars.metre, ARROWS)
    legend = ARROWS.legend((column.sign for column in columns), in_pattern=True)
    return {"columns": columns, "words": pattern_words(pattern, legend)}
