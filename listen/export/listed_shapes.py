"""The shapes that are listed beside a chart: each form of each chord that the chart shows, once."""

from __future__ import annotations

from listen.export.bars import find_bars
from listen.instrument import Shape
from listen.reading import ChordSpan, Part


def list_first_spans(part: Part) -> tuple[ChordSpan, ...]:
    """Return the first span of each different name and shape, in the order in which they come.

    What the chart does not show has no shape beside it, and a form that another one of its chord has whole, with a
    string left out, is not listed by itself: x0x220 beside x02220. What a stroke left out stands in the tablature.
    """
    shown = {
        change.span.first_event for bar in find_bars(part, is_settled=True) for change in bar.changes if change.span
    }
    found: dict[tuple[str, Shape], ChordSpan] = {}
    for span in part.spans:
        if span.shape is not None and "passing" not in span.marks and span.first_event in shown:
            found.setdefault(("" if span.name is None else span.name.text, span.shape.shape), span)
    return tuple(
        span
        for (name, shape), span in found.items()
        if span.pinned or not any(other == name and _is_left_of(shape, whole) for other, whole in found)
    )


def _is_left_of(shape: Shape, whole: Shape) -> bool:
    """Tell whether a shape is another one with strings left out."""
    pairs = list(zip(shape.frets, whole.frets, strict=True))
    return shape != whole and all(fret is None or fret == other for fret, other in pairs)
