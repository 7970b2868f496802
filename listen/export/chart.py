"""The chart of a part in text: what a player needs on the stand.

Two levels. *Plain*: a name only where the chord changes, four bars a line, repeats folded, N.C. where there is no
chord, the strumming pattern once. *Full*: every stroke under the chord it belongs to, with pushed changes, hits and
decorations. What could not be read is an empty bar that says where to listen.

The layout is this project's own. In a bar with one chord at its beginning the name stands alone; where a chord comes
later, every beat is shown, ``·`` for a beat without a change, and ``&`` before a name that comes half a beat late.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from listen.export.bar import Bar, find_metre
from listen.export.bars import find_bars
from listen.export.chart_remarks import number_lines, remark_lines, setting_fact
from listen.export.fold import Fold, find_folds, mark_returns
from listen.export.full_chart import render_full_bars
from listen.export.held_names import HeldNames, NameStyle, clock_text, find_key
from listen.export.stroke_signs import ARROWS, LETTERS, pattern_rows
from listen.export.style import TextStyle, visible_width, wrap_text
from listen.export.words import cents_text, sure_text
from listen.reading import STEPS_PER_BEAT, Part

BARS_A_LINE = 4
BAR_WIDTH = 14  # four bars, their lines and the number fit into 80 columns
NUMBER_WIDTH = 4
_LATE = {Fraction(1, 2): "&", Fraction(1, 4): "¼", Fraction(3, 4): "¾", Fraction(1, 3): "⅓", Fraction(2, 3): "⅔"}


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
    names = HeldNames(part, view.names)
    blocks = [head_lines(part, names, style)]
    metre = find_metre(part)
    if metre is None:
        blocks.append(_free_lines(part, names, style))
    elif view.level == "full":
        blocks.append(render_full_bars(part, names, style))
    else:
        blocks += [_pattern_lines(part, style), _plain_lines(part, names, style)]
    blocks.append(_shape_lines(part, names, style))
    if view.level == "full":
        blocks.append(number_lines(part, names, style))
    blocks.append(remark_lines(part, names, style, full=view.level == "full"))
    lines = [line for block in blocks if block for line in (*block, "")]
    return "\n".join(line.rstrip() for line in lines[:-1]) + "\n"


def head_lines(part: Part, names: HeldNames, style: TextStyle) -> list[str]:
    """Return title and facts: key, metre, setting, tuning."""
    facts = head_facts(part, names)
    title = style.weigh(style.plain(part.source or "Part"), "strong")
    return [title, *wrap_text(style.plain(" · ".join(facts)), width=style.width)]


def head_facts(part: Part, names: HeldNames) -> list[str]:
    """Return what stands at the head of a chart, one fact a text."""
    facts = []
    if part.key is not None:
        key = find_key(part.key)
        facts.append(f"Key {part.key.text if key is None else key.printed}")
    metre = find_metre(part)
    facts.append("free time" if metre is None else metre.text)
    if setting := setting_fact(part):
        facts.append(setting)
    if names.remark:
        facts.append(names.remark)
    if round(abs(part.tuning_offset_cents)) >= 1:
        facts.append(f"{cents_text(part.tuning_offset_cents)} of A 440")
    return facts


def _pattern_lines(part: Part, style: TextStyle) -> list[str]:
    if part.pattern is None or part.metre is None or not part.pattern.strokes:
        return []
    signs = ARROWS if style.unicode else LETTERS
    counts, strokes = pattern_rows(part.pattern, part.metre, signs)
    wide = max(map(visible_width, (*counts, *strokes))) + 2
    n = len(part.pattern.bars)
    share = f"Pattern of {n} bar{'' if n == 1 else 's'} ({sure_text(part.pattern.share)}): {signs.legend(strokes)}"
    rows = ["".join(cell.ljust(wide) for cell in row) for row in (counts, strokes)]
    return [
        *wrap_text(style.plain(share), width=style.width),
        *(f"{'':{NUMBER_WIDTH}}{style.plain(row)}" for row in rows),
    ]


def bar_content(bar: Bar, names: HeldNames) -> tuple[tuple[int, str], ...]:
    """Return what a bar holds, step and name, with the chord that holds at its bar line.

    A change to what holds already (another shape, a passing chord and back) is none.
    """
    held = names.of_change(bar.held) if bar.held is not None else ""
    content = [(0, held)] if held else []
    for change in bar.changes:
        text = names.of_change(change)
        if change.is_passing or (content and content[-1][1] == text):
            continue
        if content and content[-1][0] == change.step:
            content.pop()
        content.append((change.step, text))
    return tuple(content)


def _plain_lines(part: Part, names: HeldNames, style: TextStyle) -> list[str]:
    bars = find_bars(part, is_settled=True)
    contents = [bar_content(bar, names) for bar in bars]
    lines: list[str] = []
    upbeat = 1 if part.metre is not None and part.metre.pickup_steps else 0
    if upbeat:  # on a line of its own, so that the lines after it have their four bars
        lines += _fold_lines(bars, contents, Fold(0, 1), style)
    body = contents[upbeat:]
    for fold in mark_returns(find_folds(body), body):
        moved = replace(fold, first=fold.first + upbeat)
        if fold.like is None:
            lines += _fold_lines(bars, contents, moved, style)
        else:
            lines.append(_return_line(bars, moved, fold.like + upbeat, style))
    return lines


def _return_line(bars: Sequence[Bar], fold: Fold, like: int, style: TextStyle) -> str:
    """Return the one line of a section that stands further up."""
    number = str(bars[fold.first].number).rjust(NUMBER_WIDTH - 1)
    body = f"as bars {bars[like].number} to {bars[like + fold.length - 1].number}"
    opening, closing = ("|: ", f" :| ×{fold.times}") if fold.times > 1 else ("|  ", " |")
    return f"{style.weigh(number, 'faint')} {opening}{style.plain(body + closing)}"


def _fold_lines(
    bars: Sequence[Bar], contents: Sequence[tuple[tuple[int, str], ...]], fold: Fold, style: TextStyle
) -> list[str]:
    cells: list[str] = []
    for index in range(fold.first, fold.first + fold.length):
        holds = contents[index - 1][-1][1] if index and contents[index - 1] else ""
        fresh = index == fold.first and (fold.times > 1 or index == 0)
        bar = bars[index]
        content = [(step + bar.lead, text) for step, text in contents[index]]
        cells.append(style.plain(bar_text(content, n_beats=bar.n_beats, holds="" if fresh else holds)))
    lines, at = [], 0
    while at < len(cells):
        row = cells[at : at + BARS_A_LINE]
        while len(row) > 1 and NUMBER_WIDTH + sum(wide + 3 for wide in _column_widths(row, least=4)) + 4 > style.width:
            row = row[:-1]
        spare = (style.width - NUMBER_WIDTH - 4) // len(row) - 3
        widths = _column_widths(row, least=min(BAR_WIDTH, spare))
        repeated = fold.times > 1
        opening = "|: " if repeated and at == 0 else "|  "
        last = at + len(row) == len(cells)
        closing = f":| ×{fold.times}" if repeated and last else " |"
        body = " | ".join(cell + " " * (wide - visible_width(cell)) for cell, wide in zip(row, widths, strict=True))
        number = str(bars[fold.first + at].number).rjust(NUMBER_WIDTH - 1)
        lines.append(f"{style.weigh(number, 'faint')} {opening}{body}{style.plain(closing)}")
        at += len(row)
    return lines


def _column_widths(row: Sequence[str], *, least: int) -> list[int]:
    """Give every bar the same room; what a long one takes more, the others give."""
    widths = [visible_width(cell) for cell in row]
    while sum(widths) < least * len(row):
        widths[widths.index(min(widths))] += 1
    return widths


def bar_text(content: Sequence[tuple[int, str]], *, n_beats: int, holds: str) -> str:
    """Return the text of one bar.

    Parameters
    ----------
    content : sequence of (int, str)
        Step and name, see :func:`bar_content`.
    n_beats : int
    holds : str
        What holds already and needs no name.

    Examples
    --------
    >>> bar_text([(0, "G")], n_beats=4, holds=""), bar_text([(0, "G"), (30, "D/F♯")], n_beats=4, holds="G")
    ('G', '· · &D/F♯ ·')
    """
    shown = [(step, text) for step, text in content if not (step == 0 and text == holds)]
    if not shown:
        return ""
    if len(shown) == 1 and shown[0][0] == 0:
        return shown[0][1]
    beats = ["·"] * n_beats
    for step, text in shown:
        beat, rest = divmod(step, STEPS_PER_BEAT)
        sign = "" if rest == 0 else _LATE[min(_LATE, key=lambda part: abs(part - Fraction(rest, STEPS_PER_BEAT)))]
        beat = min(beat, n_beats - 1)
        beats[beat] = f"{'' if beats[beat] == '·' else beats[beat]}{sign}{text}"
    return " ".join(beats)


def _free_lines(part: Part, names: HeldNames, style: TextStyle) -> list[str]:
    cells = []
    for bar in find_bars(part):
        text = names.of_change(bar.changes[0])
        cells.append(f"{clock_text(bar.start_s):>5}  {text}")
    wide = max(map(visible_width, cells), default=0) + 3
    a_line = max(1, min(BARS_A_LINE, (style.width + 3) // max(wide, 1)))
    rows = ["".join(cell.ljust(wide) for cell in cells[at : at + a_line]) for at in range(0, len(cells), a_line)]
    return [style.plain(row) for row in rows]


def _shape_lines(part: Part, names: HeldNames, style: TextStyle) -> list[str]:
    """List each different shape once, in the order in which they come."""
    rows: dict[tuple[str, str], str] = {}
    for span in part.spans:
        if span.shape is None or "passing" in span.marks:
            continue
        text = names.of_span(span)
        sounds = span.name.printed if span.name is not None and span.name.played_as is not None else ""
        other = "" if not sounds or names.style == "sounding" else f"sounds {sounds}"
        if names.style != "played" and span.name is not None:
            other = span.name.printed if names.style != "sounding" else other
        rows.setdefault((text, span.shape.shape.text), other)
    if not rows:
        return []
    wide_name = max(visible_width(style.plain(text)) for text, _ in rows)
    wide_frets = max(len(frets) for _, frets in rows)
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
