"""The chart of bars as HTML, by itself: for the sheet, and for any page that shows a part."""

from __future__ import annotations

from typing import Any

from listen.export.bar import find_metre
from listen.export.held_names import HeldNames
from listen.export.sheet_chart import sheet_lines, sheet_stretches
from listen.export.stroke_columns import pattern_columns
from listen.export.stroke_signs import ARROWS
from listen.export.words import sure_text
from listen.reading import Part


def chart_content(part: Part, names: HeldNames) -> dict[str, Any]:
    """Return what the template of the chart names: ``pattern``, ``lines``, ``stretches``."""
    measured = find_metre(part) is not None
    return {
        "pattern": _pattern(part),
        "lines": sheet_lines(part, names) if measured else [],
        "stretches": [] if measured else sheet_stretches(part, names),
    }


def _pattern(part: Part) -> dict[str, Any] | None:
    if part.pattern is None or part.bars.metre is None or not part.pattern.strokes:
        return None
    columns = pattern_columns(part.pattern, part.bars.metre, ARROWS)
    n = len(part.pattern.bars)
    legend = ARROWS.legend((column.sign for column in columns), in_pattern=True)
    words = f"Pattern of {n} bar{'' if n == 1 else 's'} ({sure_text(part.pattern.share)}): {legend}"
    return {"columns": columns, "words": words}
