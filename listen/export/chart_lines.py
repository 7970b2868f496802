"""The bars of a plain chart in lines: at most four a line and as wide as one another, repeats folded.

A bar that repeats the one before it shows a repeat sign, save at the beginning of a line, where the eye would have to
go back for it (common practice, no source); bars with other single notes are no repeat. A pickup is as wide as its
own chords.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from listen.document import BARS_A_LINE
from listen.export.bar import Bar
from listen.export.bar_marks import write_marks
from listen.export.bar_text import BEAT, REPEAT, TYPED_BEAT, BarContent, bar_content, bar_text
from listen.export.bars import LaidPart
from listen.export.doubts import MARK, find_doubts, find_marked
from listen.export.fold import Fold, find_folds, mark_returns
from listen.export.held_names import HeldNames
from listen.export.style import TextStyle, visible_width
from listen.export.tempo_marks import write_tempi
from listen.export.told_words import find_words, head_words, lay_words

BAR_WIDTH = 14  # four bars, their lines and the number fit into 80 columns
LEAST_BAR = 4
NUMBER_WIDTH = 4


@dataclass(frozen=True, slots=True)
class ChartBars:
    """The bars of a part as a chart writes them.

    Parameters
    ----------
    bars : tuple of Bar
    contents : tuple of BarContent
        What each holds.
    marked : frozenset of (int, int)
        Index and step of the names that are in doubt.
    marks : dict of int to str
        Index of the bars at which another key, signature or tempo begins: ``key of A:``, ``2/4``, ``♩=96``.
    folds : tuple of Fold
        Together they hold every bar once; a section begins a fold of its own.
    sections, lyrics : dict of int to str
        Index of the bars at which a person named a section, or wrote words to sing.
    """

    bars: tuple[Bar, ...]
    contents: tuple[BarContent, ...]
    marked: frozenset[tuple[int, int]]
    marks: dict[int, str]
    folds: tuple[Fold, ...]
    sections: dict[int, str] = field(default_factory=dict)
    lyrics: dict[int, str] = field(default_factory=dict)

    def shown(self, index: int) -> BarContent:
        """Return what stands in a bar, with the marks of doubt."""
        return tuple(
            (step, f"{text}{MARK}" if (index, step) in self.marked else text) for step, text in self.contents[index]
        )

    def share(self, index: int) -> float:
        """Return how long a bar is against the longest: its width, but for a pickup's."""
        return self.bars[index].n_steps / max(bar.n_steps for bar in self.bars)

    def repeats(self, index: int) -> bool:
        """Whether a bar is the one before it, once more."""
        return (
            index > 0
            and bool(self.contents[index])
            and self.contents[index] == self.contents[index - 1]
            and list_line(self.bars[index]) == list_line(self.bars[index - 1])
            and self.bars[index].n_steps == self.bars[index - 1].n_steps
            and self.shown(index) == self.contents[index]
            and index not in self.marks
        )


def list_line(bar: Bar) -> tuple[int, ...]:
    """List the notes of a melody or a bass run in a bar, as MIDI numbers: no name tells that they are others."""
    own = (placed.stroke for placed in bar.strokes if placed.event.kind == "line")
    return tuple(note.pitch.midi for stroke in own for note in stroke.notes)


def lay_chart(laid: LaidPart, names: HeldNames) -> ChartBars:
    """Lay out the bars of a measured part, repeats and sections that come back folded."""
    part, bars = laid.part, laid.written
    contents = tuple(bar_content(bar, names) for bar in bars)
    tempi = write_tempi(part, bars)
    at_bar = {bar.number: index for index, bar in enumerate(bars)}
    sections = {at_bar[bar]: text for bar, text in find_words(part, "section").items() if bar in at_bar}
    lyrics = {at_bar[bar]: text for bar, text in find_words(part, "lyrics").items() if bar in at_bar}
    keys = [
        (contents[at], list_line(bar), bar.n_steps, tempi.get(at), lyrics.get(at), names.in_bar(bar.number).key)
        for at, bar in enumerate(bars)
    ]
    upbeat = 1 if bars and part.bars.metre is not None and part.bars.metre.pickup_steps else 0
    body = keys[upbeat:]
    begins = sorted({0, *(index - upbeat for index in sections if index >= upbeat)})
    found: list[Fold] = []
    for first, end in zip(begins, [*begins[1:], len(body)], strict=True):
        found += [replace(fold, first=fold.first + first) for fold in find_folds(body[first:end], line=BARS_A_LINE)]
    folds = [Fold(0, 1)] if upbeat else []
    for fold in mark_returns(tuple(found), body):
        like = None if fold.like is None else fold.like + upbeat
        folds.append(replace(fold, first=fold.first + upbeat, like=like))
    repeats = [(fold.first, fold.first + fold.length - 1) for fold in folds if fold.times > 1]
    again = [first for first, last in repeats if bars[first].n_steps != bars[last].n_steps]
    marks = write_marks(names, bars, again=again)
    shown = _find_shown(folds)
    marked = frozenset((shown[index], step) for index, step in find_marked(bars, find_doubts(part, names)))
    return ChartBars(bars, contents, marked, marks, tuple(folds), sections, lyrics)


def _find_shown(folds: Sequence[Fold]) -> dict[int, int]:
    """Return for the index of each bar that of the bar which is written in its place."""
    shown: dict[int, int] = {}
    for fold in folds:
        written = fold.first if fold.like is None else fold.like
        for at in range(fold.length * fold.times):
            shown[fold.first + at] = written + at % fold.length
    return shown


def return_text(chart: ChartBars, fold: Fold) -> str:
    """Say of a section that stands further up where that is."""
    like = fold.first if fold.like is None else fold.like
    told = f"as bars {chart.bars[like].number} to {chart.bars[like + fold.length - 1].number}"
    return f"{chart.marks[fold.first]} {told}" if fold.first in chart.marks else told


def plain_lines(laid: LaidPart, names: HeldNames, style: TextStyle) -> list[str]:
    """Return the lines of a plain chart."""
    chart = lay_chart(laid, names)
    lines: list[str] = []
    for fold in chart.folds:
        if fold.first in chart.sections:
            lines += head_words(chart.sections[fold.first], style)
        if fold.like is None:
            lines += _fold_lines(chart, fold, style)
        else:
            lines.append(_return_line(chart, fold, style))
    return lines


def _return_line(chart: ChartBars, fold: Fold, style: TextStyle) -> str:
    opening, closing = ("|: ", f" :| ×{fold.times}") if fold.times > 1 else ("|  ", " |")
    return f"{_number(chart, fold.first, style)} {opening}{style.plain(return_text(chart, fold) + closing)}"


def _number(chart: ChartBars, index: int, style: TextStyle) -> str:
    return style.weigh(str(chart.bars[index].number).rjust(NUMBER_WIDTH - 1), "faint")


def _fold_lines(chart: ChartBars, fold: Fold, style: TextStyle) -> list[str]:
    lines, at, end = [], fold.first, fold.first + fold.length
    while at < end:
        closing = f":| ×{fold.times}" if fold.times > 1 else " |"
        room = style.width - NUMBER_WIDTH - 3 - visible_width(style.plain(closing))
        row = _row(chart, at, min(at + BARS_A_LINE, end), room, style)
        spare = (room + 3) // len(row) - 3
        is_pickup = chart.bars[at].before > 0
        shares = [1.0 if is_pickup else chart.share(at + place) for place in range(len(row))]
        widths = _column_widths(row, least=LEAST_BAR if is_pickup else min(BAR_WIDTH, spare), shares=shares)
        opening = "|: " if fold.times > 1 and at == fold.first else "|  "
        last = at + len(row) == end
        body = " | ".join(cell + " " * (wide - visible_width(cell)) for cell, wide in zip(row, widths, strict=True))
        lines.append(f"{_number(chart, at, style)} {opening}{body}{style.plain(closing) if last else ' |'}")
        starts = [NUMBER_WIDTH + 3 + sum(widths[:place]) + 3 * place for place in range(len(row))]
        sung = [(start, chart.lyrics[at + place]) for place, start in enumerate(starts) if at + place in chart.lyrics]
        lines += lay_words(sung, style)
        at += len(row)
    return lines


def _row(chart: ChartBars, at: int, end: int, room: int, style: TextStyle) -> list[str]:
    """Return the bars of one line: four, or two where four have no room, or one."""
    while True:
        row = [_cell(chart, index, style, is_first=index == at) for index in range(at, end)]
        if len(row) == 1 or sum(wide + 3 for wide in _column_widths(row, least=LEAST_BAR)) - 3 <= room:
            return row
        end = at + (2 if end - at > 2 else 1)


def _cell(chart: ChartBars, index: int, style: TextStyle, *, is_first: bool) -> str:
    bar = chart.bars[index]
    if not is_first and chart.repeats(index):
        return REPEAT
    text = bar_text([(step + bar.lead, name) for step, name in chart.shown(index)], n_beats=bar.n_beats)
    if not style.unicode:
        text = text.replace(BEAT, TYPED_BEAT)
    return style.plain(f"{chart.marks[index]} {text}" if index in chart.marks else text)


def _column_widths(row: Sequence[str], *, least: int, shares: Sequence[float] | None = None) -> list[int]:
    """Give every bar the same room, a short one its share of it; what a crowded one takes more, the others give."""
    widths, shares = [visible_width(cell) for cell in row], shares or [1.0] * len(row)
    while sum(widths) < int(least * sum(shares)):
        widths[min(range(len(row)), key=lambda at: widths[at] / shares[at])] += 1
    return widths
