"""One line of music: strokes and rests without a gap, cut into bars, for a score.

Conventions: steps count from the bar line; a stroke that lasts over a bar line becomes a tied item in each bar. Strokes
that share a step become one item.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.export.bar import Bar, PlacedStroke
from listen.reading import PlayedNote

LEAST_APART = 3  # steps: two strokes on one place of the grid are written no finer than sixteenths


@dataclass(frozen=True, slots=True)
class Item:
    """A chord, a note, a damped stroke or a rest in one bar.

    Parameters
    ----------
    start, end : int
        Steps from the bar line.
    placed : PlacedStroke or None
        None for a rest.
    notes : tuple of PlayedNote
        Low to high; empty for a damped stroke or a rest.
    is_tied_back, is_tied_on : bool
        Whether it goes on from the bar before, or into the next.
    """

    start: int
    end: int
    placed: PlacedStroke | None = None
    notes: tuple[PlayedNote, ...] = ()
    is_tied_back: bool = False
    is_tied_on: bool = False


def find_items(bars: Sequence[Bar]) -> tuple[tuple[Item, ...], ...]:
    """Return the items of each bar: together they fill it."""
    rows: list[list[Item]] = []
    going_on: Item | None = None
    for index, bar in enumerate(bars):
        items: list[Item] = []
        if going_on is not None:
            items.append(going_on)
            going_on = None
        items += _merged(bar)
        filled: list[Item] = []
        at = 0
        for place, item in enumerate(items):
            until = items[place + 1].start if place + 1 < len(items) else bar.n_steps
            end = max(item.start + 1, min(item.end, until, bar.n_steps))
            over = item.end - bar.n_steps
            if item.start > at:
                filled.append(Item(at, item.start))
            tied_on = over > 0 and bool(item.notes) and end == bar.n_steps and _continues(bars, index)
            filled.append(replace(item, end=end, is_tied_on=tied_on))
            if tied_on:
                going_on = Item(0, over, item.placed, item.notes, is_tied_back=True)
            at = end
        if at < bar.n_steps:
            filled.append(Item(at, bar.n_steps))
        rows.append(filled)
    return tuple(tuple(row) for row in rows)


def _continues(bars: Sequence[Bar], index: int) -> bool:
    """Whether a sound may last into the next bar: it has room before its first stroke."""
    if index + 1 >= len(bars):
        return False
    strokes = bars[index + 1].strokes
    return not strokes or strokes[0].step > 0


def _merged(bar: Bar) -> list[Item]:
    """Join strokes on the same step; one that needs a string which is taken comes a quarter of a beat later."""
    items: list[Item] = []
    for placed in bar.strokes:
        notes = tuple(sorted(placed.stroke.notes, key=lambda note: note.pitch))
        start = placed.step
        if items and start <= items[-1].start:
            before = items[-1]
            taken = {note.string_index for note in before.notes if note.string_index is not None}
            free = {note.pitch for note in notes}.isdisjoint(note.pitch for note in before.notes)
            if notes and before.notes and free and not taken & {note.string_index for note in notes}:
                joined = tuple(sorted((*before.notes, *notes), key=lambda note: note.pitch))
                items[-1] = replace(before, notes=joined, end=max(before.end, placed.end))
                continue
            start = before.start + LEAST_APART
            if start >= min([bar.n_steps, *(one.step for one in bar.strokes if one.step > placed.step)]):
                continue  # no room before the next: it stays in the tablature in text and in the document
        items.append(Item(start, max(placed.end, start + 1), placed, notes))
    return items
