"""The full chart: the strokes of every bar that does not only repeat the pattern, under the chord they belong to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from operator import contains

from listen.document import BARS_A_LINE
from listen.export.bar import Bar, PlacedStroke
from listen.export.bar_marks import write_marks
from listen.export.bar_text import REPEAT, bar_content
from listen.export.bars import LaidPart
from listen.export.held_names import HeldNames
from listen.export.shown_pattern import find_shown_pattern, find_usual_strings
from listen.export.stroke_columns import StrokeColumn, bar_columns, split_columns
from listen.export.stroke_signs import ARROWS, LETTERS, Signs, is_picked, picked_strings
from listen.export.style import TextStyle, visible_width, wrap_text
from listen.export.told_words import find_words, head_words, lay_words
from listen.reading import Part

PUSHED = "<"  # before a name: the change comes before its beat
SILENT = "–"  # under a chord that only rings on
MARGIN = 4


@dataclass(frozen=True, slots=True)
class _Block:
    """One bar, or a piece of one that is wider than a line.

    Parameters
    ----------
    number : int
    columns : list of StrokeColumn
    labels : dict of int to str
        Names by the place of their column.
    opens : bool
        Whether it begins with a bar line.
    """

    number: int
    columns: list[StrokeColumn]
    labels: dict[int, str]
    opens: bool = True

    @property
    def widths(self) -> list[int]:
        """How many signs of text each column takes, so that no name runs into the next."""
        widths = [
            max(2, visible_width(column.sign) + 1, visible_width(column.count) + 1)
            if column.sign or column.count
            else 1
            for column in self.columns
        ]
        places = sorted(self.labels)
        for index, place in enumerate(places):
            until = places[index + 1] if index + 1 < len(places) else len(widths)
            widths[until - 1] += max(0, visible_width(self.labels[place]) + 1 - sum(widths[place:until]))
        return widths

    @property
    def strokes(self) -> list[tuple[int, str]]:
        """What is struck: steps and signs; nothing where the bar shows names alone."""
        return [(column.step, column.sign) for column in self.columns if column.sign]


def render_full_bars(laid: LaidPart, names: HeldNames, style: TextStyle) -> list[str]:
    """Render every bar, as many a line as fit.

    Returns
    -------
    list of str
        Lines, with a legend of the signs that occur at the end.
    """
    signs = ARROWS if style.unicode else LETTERS
    part, bars = laid.part, laid.played
    marks = write_marks(names, bars)
    room = style.width - MARGIN - 3
    blocks: list[_Block] = []
    shown: list[str] = []
    last = None
    repeats = _find_repeats(bars, part)
    sections, lyrics = find_words(part, "section"), find_words(part, "lyrics")
    for index, bar in enumerate(bars):
        if bar.number in sections:  # shows its chord even where it is that of the bar before
            last = None
        block = _block(bar, names, signs=signs, style=style, repeats=bar.number in repeats)
        content = (bar_content(bar, names), block.strokes)
        if index in marks:
            block = replace(block, labels={**block.labels, 0: f"{marks[index]} {block.labels.get(0, '')}".rstrip()})
        elif content == last and (bar.strokes or content[0]) and not any(change.is_pushed for change in bar.changes):
            block = _Block(block.number, [StrokeColumn(0, "", "", is_beat=True)], {0: REPEAT})
        last = content
        shown += [sign for _, sign in block.strokes]
        blocks += _pieces(block, room)
    lines = _lines(blocks, sections, lyrics, style)
    legend = _legend(bars, signs, shown, repeats=bool(repeats))
    return [*lines, "", *wrap_text(style.plain(legend), width=style.width)] if legend else lines


def _legend(bars: tuple[Bar, ...], signs: Signs, shown: list[str], *, repeats: bool) -> str:
    words = [signs.legend(shown)]
    if any(change.is_pushed for bar in bars for change in bar.changes):
        words.append(f"{PUSHED} before its beat")
    if SILENT in shown:
        words.append(f"{SILENT} no stroke")
    if repeats:
        words.append("names alone: the pattern")
    return ", ".join(word for word in words if word)


def _block(bar: Bar, names: HeldNames, *, signs: Signs, style: TextStyle, repeats: bool) -> _Block:
    """Return a bar under its names: what is held into it stands at its beginning, as in the plain chart."""
    columns = bar_columns(bar, names.part.bars.metre, signs, names)
    if not bar.strokes:
        columns = [
            replace(column, sign=SILENT if column.step == 0 and bar.held is not None and bar.held.span else "")
            for column in columns
            if column.step == 0 or any(change.step == column.step for change in bar.changes)
        ]
    places = {column.step: place for place, column in enumerate(columns)}
    labels: dict[int, str] = {}
    before = ""
    if bar.held is not None and not any(change.step == 0 for change in bar.changes):
        before = labels[0] = style.plain(names.of_change(bar.held))
    for change in bar.changes:
        text = style.plain(names.of_change(change))
        if text == before and not change.is_pushed:
            continue
        before = text
        mark = PUSHED if change.is_pushed else ""
        written = mark + (f"({text})" if change.is_passing else text)
        place = places[change.step]
        labels[place] = f"{labels[place]} {written}" if place in labels else written
    if repeats and set(labels) <= {0}:
        columns = [StrokeColumn(0, "", "", is_beat=True)]
        labels = {0: labels.get(0, "")}
    return _Block(bar.number, columns, labels)


def _find_repeats(bars: tuple[Bar, ...], part: Part) -> frozenset[int]:
    """Find the bars that only repeat the pattern: no mark of their own, and the strings picked that the pattern has."""
    pattern = find_shown_pattern(part)
    if pattern is None:
        return frozenset()
    usual = find_usual_strings(part, pattern)
    return frozenset(
        bar.number
        for bar in bars
        if bar.number in pattern.bars
        and len(bar.strokes) == len(pattern.strokes)
        and not any(
            placed.stroke.marks or placed.event.marks or not _picks(placed, usual.get(placed.step, ()), part)
            for placed in bar.strokes
        )
    )


def _picks(placed: PlacedStroke, usual: tuple[frozenset[int], ...], part: Part) -> bool:
    """Whether a stroke picks the strings that the pattern has there, and none where it is strummed."""
    strings = picked_strings(placed.stroke, part.fretboard) if is_picked(placed) else ()
    return len(strings) == len(usual) and all(map(contains, usual, strings))


def _pieces(block: _Block, room: int) -> list[_Block]:
    """Cut a bar that is wider than a line."""
    pieces = []
    for first, end in split_columns(block.widths, block.columns, room=room):
        labels = {place - first: text for place, text in block.labels.items() if first <= place < end}
        pieces.append(_Block(block.number, block.columns[first:end], labels, opens=first == 0))
    return pieces


def _lines(blocks: list[_Block], sections: Mapping[int, str], lyrics: Mapping[int, str], style: TextStyle) -> list[str]:
    """Write lines of bars; a section begins a line of its own under its name."""
    rows: list[list[_Block]] = []
    for block in blocks:
        row = rows[-1] if rows else []
        has_most = block.opens and sum(one.opens for one in row) == BARS_A_LINE
        full = has_most or MARGIN + sum(sum(one.widths) + 2 for one in row) + sum(block.widths) + 3 > style.width
        if not row or full or (block.opens and block.number in sections):
            rows.append([block])
        else:
            row.append(block)
    lines: list[str] = []
    for row in rows:
        begins = row[0].opens and row[0].number in sections
        heading = head_words(sections[row[0].number], style) if begins else []
        lines += [*([""] if lines else []), *heading, *_line(row, lyrics, style)]
    return lines


def _line(row: list[_Block], lyrics: Mapping[int, str], style: TextStyle) -> list[str]:
    texts = {"names": "", "signs": "", "counts": ""}
    sung: list[tuple[int, str]] = []
    for block in row:
        if block.opens and block.number in lyrics:
            sung.append((MARGIN + 2 + visible_width(texts["names"]), lyrics[block.number]))
        edge = "|" if block.opens else " "
        texts["names"] += f"{edge} {_name_row(block)}"
        texts["signs"] += f"{edge} {_padded([column.sign for column in block.columns], block.widths)}"
        texts["counts"] += f"  {_padded([column.count for column in block.columns], block.widths)}"
    number = style.weigh(str(row[0].number).rjust(MARGIN - 1), "faint")
    empty = " " * MARGIN
    lines = [f"{number} {style.plain(texts['names'])}|"]
    if any(block.strokes for block in row):
        lines += [
            f"{empty}{style.plain(texts['signs'])}|",
            style.weigh(f"{empty}{style.plain(texts['counts'])}".rstrip(), "faint"),
        ]
    return [*lines, *lay_words(sung, style)]


def _name_row(block: _Block) -> str:
    starts = [sum(block.widths[:place]) for place in range(len(block.columns))]
    row = ""
    for place, text in sorted(block.labels.items()):
        row = row.ljust(starts[place]) + text
    return row.ljust(sum(block.widths))


def _padded(texts: list[str], widths: list[int]) -> str:
    return "".join(text.ljust(wide) for text, wide in zip(texts, widths, strict=True))
