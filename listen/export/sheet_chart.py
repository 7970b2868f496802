"""The chart of a sheet: lines of bars, each with its names placed where they begin, for a page to draw.

A bar is as wide as the others of its line, a pickup or a short bar as wide as it is long. Crowded bars get twice the
room. Names do not run into one another: they become smaller, and never so small that they could not be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from listen.document import BARS_A_LINE
from listen.export.bar import has_pickup
from listen.export.bars import LaidPart
from listen.export.chart_lines import ChartBars, lay_chart, return_text
from listen.export.fold import Fold
from listen.export.free_chart import free_stretches
from listen.export.held_names import HeldNames
from listen.reading import STEPS_PER_BEAT, clock_text

CELLS_A_BEAT = 12  # a name stands where its change is written, in halves and thirds of a beat
BAR_PX = 152.0  # room for names in a bar: a quarter of the width of A4 inside its margins, half of a narrow screen
LEAST_PICKUP = 0.4  # of a bar: the name of a chord wants room, however short the pickup
# of chord names: usual, smallest, and the smallest that is read at arm's length; judged
NAME_PX, LEAST_NAME_PX, READABLE_PX = 19.0, 8.0, 11.0
MOST_UNEVEN = 1.3  # how much larger a name may be than the smallest in its bar
LETTER_EM = 0.68  # a bold letter's mean width


@dataclass(frozen=True, slots=True)
class SheetBar:
    """A bar as a page draws it.

    Parameters
    ----------
    number : int
    plays : str
        When it sounds in the player, and its number, once for every time it is played: ``start:end:number``.
    names : tuple of (int, int, float, str)
        Column from 1, columns, size in px and text of each name.
    n_cells, n_beats : int
    share : float
        Its width against that of a full bar.
    repeats : bool
        Whether it is the bar before it, once more.
    mark : str or None
        ``2/4``, ``♩=96``, where another signature or tempo begins.
    opens : bool
        Whether a repeated stretch begins with it.
    times : int
        How often the stretch that ends with it is played; 1 where none does.
    is_unread : bool
    words : str
        For a screen reader.
    """

    number: int
    plays: str
    names: tuple[tuple[int, int, float, str], ...]
    n_cells: int
    n_beats: int
    share: float
    repeats: bool
    mark: str | None
    opens: bool
    times: int
    is_unread: bool
    words: str

    @property
    def closes(self) -> bool:
        """Whether a repeated stretch ends with it."""
        return self.times > 1


def sheet_lines(laid: LaidPart, names: HeldNames) -> list[dict[str, Any]]:
    """Return the lines of a measured part: ``bars``, and ``kind`` (``upbeat``, ``half``, ``return`` or nothing).

    ``is_pickup`` tells whether a line of the kind ``upbeat`` is one: a short bar one begins with a rest instead.
    ``section`` is a name that stands over a line, ``lyrics`` the words under each of its bars.
    ``columns`` is how many beats have room in a line in which bars are of several lengths, else 0.
    A section that stands further up is one bar of the kind ``return``, whose text says where that is.
    """
    part, chart = laid.part, lay_chart(laid, names)
    lines: list[dict[str, Any]] = []
    for fold in chart.folds:
        section = chart.sections.get(fold.first, "")
        if fold.like is not None:
            lines.append({**_return_line(chart, fold, part.recording.span.start_s), "section": section})
            continue
        at, end = fold.first, fold.first + fold.length
        while at < end:
            for n_bars in (BARS_A_LINE, BARS_A_LINE // 2):  # crowded bars get twice the room
                width_px = BAR_PX * BARS_A_LINE / n_bars
                row = range(at, min(at + n_bars, end))
                cells = [
                    _bar(chart, fold, index, part.recording.span.start_s, width_px, starts=index == at) for index in row
                ]
                if min((name[2] for cell in cells for name in cell.names), default=NAME_PX) >= READABLE_PX:
                    break
            kind = "upbeat" if chart.bars[at].before else "half" if n_bars < BARS_A_LINE else ""
            sung = [chart.lyrics.get(index, "") for index in row]
            line = {"bars": cells, "kind": kind, "text": "", "section": section, "lyrics": sung}
            is_uneven = kind != "upbeat" and any(cell.share < 1.0 for cell in cells)
            columns = n_bars * max(bar.n_beats for bar in chart.bars) if is_uneven else 0
            lines.append({**line, "is_pickup": kind == "upbeat" and has_pickup(part), "columns": columns})
            section = ""
            at += len(cells)
    return lines


def sheet_stretches(laid: LaidPart, names: HeldNames) -> list[dict[str, Any]]:
    """Return what holds from when on in free time."""
    rows, bars = free_stretches(laid, names), laid.played
    if not rows:
        return []
    ends = [*(bar.number for bar, _ in rows[1:]), len(bars) + 1]  # what only goes on under its name is joined in a row
    start_s = laid.part.recording.span.start_s
    return [
        {
            "number": bar.number,
            "plays": " ".join(
                _play(one.number, one.start_s, one.end_s, start_s) for one in bars[bar.number - 1 : end - 1]
            ),
            "clock": clock_text(bar.start_s),
            "text": text,
        }
        for (bar, text), end in zip(rows, ends, strict=True)
    ]


def _return_line(chart: ChartBars, fold: Fold, start_s: float) -> dict[str, Any]:
    bars = chart.bars[fold.first : fold.first + fold.length * fold.times]
    plays = " ".join(_play(one.number, one.start_s, one.end_s, start_s) for one in bars)
    text = return_text(chart, fold) + (f" ×{fold.times}" if fold.times > 1 else "")
    return {"bars": [], "kind": "return", "text": text, "number": bars[0].number, "plays": plays}


def _bar(chart: ChartBars, fold: Fold, index: int, start_s: float, width_px: float, *, starts: bool) -> SheetBar:
    bar, content = chart.bars[index], chart.contents[index]
    repeats = not starts and chart.repeats(index)
    size = STEPS_PER_BEAT // CELLS_A_BEAT
    n_cells = max(1, -(-bar.n_steps // size))
    shown = [] if repeats else [(min(step // size, n_cells - 1), text) for step, text in chart.shown(index)]
    played = [chart.bars[index + fold.length * time] for time in range(fold.times)]
    mark, share = chart.marks.get(index), chart.share(index)
    is_last = index == fold.first + fold.length - 1
    return SheetBar(
        number=bar.number,
        plays=" ".join(_play(one.number, one.start_s, one.end_s, start_s) for one in played),
        names=tuple(_fit(shown, n_cells, width_px=width_px if bar.before else share * width_px)),
        n_cells=n_cells,
        n_beats=bar.n_beats,
        share=max(LEAST_PICKUP, share) if bar.before else share,
        repeats=repeats,
        mark=mark,
        opens=fold.times > 1 and index == fold.first,
        times=fold.times if is_last else 1,
        is_unread=bool(bar.held and bar.held.kind == "unread") or any(c.kind == "unread" for c in bar.changes),
        words=f"Bar {bar.number}{f', {mark}' if mark else ''}: {', '.join(text for _, text in content) or 'nothing'}",
    )


def _fit(starts: Sequence[tuple[int, str]], n_cells: int, *, width_px: float) -> list[tuple[int, int, float, str]]:
    """Place the names of a bar: column, columns, size and text of each, so that none runs into another."""
    rooms = []
    for place, (cell, _) in enumerate(starts):
        until = starts[place + 1][0] if place + 1 < len(starts) else n_cells
        rooms.append(max(1, until - cell))
    fits = [
        width_px * room / n_cells / (LETTER_EM * (len(text) + 0.6))
        for room, (_, text) in zip(rooms, starts, strict=True)
    ]
    most = min(NAME_PX, max(MOST_UNEVEN * min(fits, default=NAME_PX), LEAST_NAME_PX))
    return [
        (cell + 1, room, round(min(most, max(px, LEAST_NAME_PX)), 1), text)
        for (cell, text), room, px in zip(starts, rooms, fits, strict=True)
    ]


def _play(number: int, start_s: float, end_s: float, since_s: float) -> str:
    """Return when a bar sounds in the player, and its number: start, end, number."""
    return f"{max(0.0, start_s - since_s):.3f}:{max(0.0, end_s - since_s):.3f}:{number}"
