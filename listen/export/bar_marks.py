"""What stands before the names of a bar: the key, the signature and the tempo that begin there."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from listen.export.bar import Bar, find_bar_metre, find_metre
from listen.export.held_names import HeldNames
from listen.export.tempo_marks import write_tempi
from listen.reading import Part, PartKey


def find_signatures(part: Part, bars: Sequence[Bar], *, again: Collection[int] = ()) -> dict[int, str]:
    """Return the bars at which another signature begins, by their index: a bar of another length, and the one after it.

    Parameters
    ----------
    part : Part
    bars : sequence of Bar
        The first is held against the signature of the head.
    again : collection of int
        Bars to which a repeat comes back from one of another signature.
    """
    metre = find_metre(part)
    if metre is None:
        return {}
    signed = [metre.signature, *(find_bar_metre(bar, metre).signature for bar in bars)]
    return {at: signed[at + 1] for at in range(len(bars)) if signed[at + 1] != signed[at] or at in again}


def find_begun_keys(part: Part, bars: Sequence[Bar]) -> dict[int, PartKey]:
    """Return the keys that begin at bars, by the index of the bar; the first one is the head's."""
    at_bar = {change.bar: change.key for change in part.bars.key_changes}
    return {index: at_bar[bar.number] for index, bar in enumerate(bars) if index and bar.number in at_bar}


def write_key_marks(names: HeldNames, bars: Sequence[Bar]) -> dict[int, str]:
    """Return the same as a chart writes them: ``key of A:``, or ``1 = A:`` over numbers."""
    return {index: names.in_bar(bars[index].number).key_mark for index in find_begun_keys(names.part, bars)}


def write_marks(names: HeldNames, bars: Sequence[Bar], *, again: Collection[int] = ()) -> dict[int, str]:
    """Return what stands before the names of bars, by index: ``key of A:``, ``2/4``, ``♩=96``, ``rit.``, or more."""
    part = names.part
    rows = write_key_marks(names, bars), find_signatures(part, bars, again=again), write_tempi(part, bars)
    marked = sorted({index for row in rows for index in row})
    return {index: " ".join(row[index] for row in rows if index in row) for index in marked}
