"""The chart of a sheet: bars set in lines, repeats folded, names where their changes come, words under their bars."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from listen.export.bars import Bar
from listen.export.chart import bar_content
from listen.export.fold import Fold, find_folds
from listen.export.held_names import HeldNames
from listen.export.told_words import find_words
from listen.reading import STEPS_PER_BEAT, Part

BARS_A_LINE = 4
CELLS_A_BEAT = 4  # a name stands where its change comes, to the sixteenth
BAR_PX = 152.0  # room for names in a bar: a quarter of the width of A4 inside its margins, half of a narrow screen
NAME_PX, LEAST_NAME_PX, READABLE_PX = 19.0, 8.0, 11.0
MOST_UNEVEN = 1.3  # how much larger a name may be than the smallest in its bar
LETTER_EM = 0.68  # a bold letter's mean width


def lay_out_lines(bars: Sequence[Bar], names: HeldNames, part: Part) -> list[dict[str, Any]]:
    """Set the bars in lines, repeats folded; a section begins a line of its own."""
    contents = [bar_content(bar, names) for bar in bars]
    sections, lyrics = find_words(part, "section"), find_words(part, "lyrics")
    upbeat = 1 if part.metre is not None and part.metre.pickup_steps else 0
    begins = sorted({upbeat, *(at for at, bar in enumerate(bars) if bar.number in sections and at > upbeat)})
    lines = _fold_lines(bars, contents, Fold(0, 1), part) if upbeat else []
    for line in lines:
        line["kind"] = "upbeat"
    for first, end in zip(begins, [*begins[1:], len(bars)], strict=True):
        sung = [(contents[at], lyrics.get(bars[at].number)) for at in range(first, end)]
        own: list[dict[str, Any]] = []
        for fold in find_folds(sung):
            own += _fold_lines(bars, contents, Fold(fold.first + first, fold.length, fold.times), part)
        if own:
            own[0]["section"] = sections.get(bars[first].number, "")
        lines += own
    for cell in (cell for line in lines for cell in line["bars"]):
        cell["lyrics"] = lyrics.get(cell["number"], "")
    return lines


def _fold_lines(
    bars: Sequence[Bar], contents: Sequence[tuple[tuple[int, str], ...]], fold: Fold, part: Part
) -> list[dict[str, Any]]:
    """Set the bars of one fold in lines of four, or of two where they are crowded."""
    lines: list[dict[str, Any]] = []
    at = 0
    while at < fold.length:
        for n_bars in (BARS_A_LINE, BARS_A_LINE // 2):
            row = range(fold.first + at, fold.first + min(at + n_bars, fold.length))
            width_px = BAR_PX * BARS_A_LINE / n_bars
            cells = [_cell(bars, contents, fold, index, start_s=part.span.start_s, width_px=width_px) for index in row]
            if min((name[2] for cell in cells for name in cell["names"]), default=NAME_PX) >= READABLE_PX:
                break
        lines.append({"bars": cells, "kind": "half" if n_bars < BARS_A_LINE else "", "section": ""})
        at += len(cells)
    return lines


def _cell(
    bars: Sequence[Bar],
    contents: Sequence[tuple[tuple[int, str], ...]],
    fold: Fold,
    index: int,
    *,
    start_s: float,
    width_px: float,
) -> dict[str, Any]:
    bar, content = bars[index], contents[index]
    holds = contents[index - 1][-1][1] if index and contents[index - 1] else ""
    if index == fold.first and fold.times > 1:
        holds = ""
    shown = [(step, text) for step, text in content if not (step == 0 and text == holds)]
    size = STEPS_PER_BEAT // CELLS_A_BEAT
    n_cells = max(1, -(-bar.n_steps // size))
    starts = [(min(step // size, n_cells - 1), text) for step, text in shown]
    played = [bars[index + fold.length * time] for time in range(fold.times)]
    return {
        "number": bar.number,
        "plays": " ".join(play_span(one, start_s) for one in played),
        "names": _fit(starts, n_cells, width_px=width_px),
        "n_cells": n_cells,
        "n_beats": bar.n_beats,
        "opens": fold.times > 1 and index == fold.first,
        "closes": fold.times > 1 and index == fold.first + fold.length - 1,
        "times": fold.times if index == fold.first + fold.length - 1 else 1,
        "is_unread": bool(bar.held and bar.held.kind == "unread") or any(c.kind == "unread" for c in bar.changes),
        "words": f"Bar {bar.number}: {', '.join(text for _, text in content) or 'nothing'}",
    }


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


def play_span(bar: Bar, start_s: float) -> str:
    """Return when a bar sounds in the player, and its number: start, end, number."""
    return f"{max(0.0, bar.start_s - start_s):.3f}:{max(0.0, bar.end_s - start_s):.3f}:{bar.number}"
