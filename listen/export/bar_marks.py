"""What stands before the names of a bar: the signature and the tempo that begin there."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from listen.export.bar import Bar, find_bar_metre, find_metre
from listen.export.tempo_marks import write_tempi
from listen.reading import Part


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


def write_marks(part: Part, bars: Sequence[Bar], *, again: Collection[int] = ()) -> dict[int, str]:
    """Return what stands before the names of bars, by their index: ``2/4``, ``♩=96``, ``rit.``, or two of them."""
    signatures, tempi = find_signatures(part, bars, again=again), write_tempi(part, bars)
    return {
        index: " ".join(filter(None, [signatures.get(index), tempi.get(index)]))
        for index in sorted({*signatures, *tempi})
    }
