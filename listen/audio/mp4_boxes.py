"""The boxes of an MP4 (M4A, MOV) that declare how much there is: no more may be declared than the file can hold.

A demuxer builds an index of as many entries as these boxes say, before it reads any sound: a file of 676 bytes can
declare four thousand million samples. Every sample takes at least a byte of the file, so counts far beyond the file's
size are lies (one that was cut off may declare somewhat more than it holds), and so are tables longer than their box.

References
----------
ISO/IEC 14496-12 (ISO base media file format), 4.2 (boxes), 8.6.1.2 (``stts``), 8.7.3 (``stsz``, ``stz2``), 8.7.4
(``stsc``), 8.7.5 (``stco``, ``co64``), 8.8.8 (``trun``). Numbers are big-endian.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from listen.errors import RecordingError

MOST_BOXES = 100_000
"""An hour in fragments of a second has 40,000."""
DEEPEST = 12
FREE_COUNT = 1 << 22
"""So many samples are never too many: their index takes 100 MB, and a cut-off file of 90 s of PCM declares as many."""
_PARENTS = frozenset({b"moov", b"trak", b"mdia", b"minf", b"stbl", b"moof", b"traf", b"mvex", b"edts", b"udta"})
_ENTRY_BYTES = {b"stts": 8, b"ctts": 8, b"stsc": 12, b"stco": 4, b"co64": 8, b"stss": 4, b"elst": 12}


@dataclass(frozen=True, slots=True)
class Box:
    """A box: its kind, and where its content lies in the file, in bytes."""

    kind: bytes
    start: int
    end: int


class _LieError(Exception):
    """A box says what cannot be."""


def check_boxes(file: BinaryIO, size: int, path: Path) -> None:
    """Refuse a file whose boxes declare more than it can hold.

    Parameters
    ----------
    file : binary file
    size : int
        In bytes.
    path : Path
        For the error.

    Raises
    ------
    RecordingError
    """
    try:
        _check(file, size)
    except (_LieError, struct.error) as error:
        raise RecordingError(
            f"{path} begins as an M4A/MP4/MOV file but declares more than it holds: copy or export the recording again."
        ) from error


def _check(file: BinaryIO, size: int) -> None:
    n_boxes = 0
    waiting = [(Box(b"", 0, size), 0)]
    while waiting:
        parent, depth = waiting.pop()
        table: dict[bytes, Box] = {}
        for box in _inside(file, parent):
            n_boxes += 1
            if n_boxes > MOST_BOXES or depth > DEEPEST or box.kind == b"cmov":  # a compressed index hides its counts
                raise _LieError
            if box.kind in _PARENTS:
                waiting.append((box, depth + 1))
            elif box.kind in _ENTRY_BYTES:
                _check_table(file, box)
                table[box.kind] = box
            elif box.kind in {b"stsz", b"stz2"}:
                _check_sizes(file, box, size)
            elif box.kind == b"trun" and _read_number(file, box.start + 4) > max(size, FREE_COUNT):
                raise _LieError
        if b"stsc" in table:
            _check_chunks(file, table, size)


def _inside(file: BinaryIO, parent: Box) -> Iterator[Box]:
    """Go through the boxes in a box."""
    at = parent.start
    while at + 8 <= parent.end:
        file.seek(at)
        head = file.read(16)
        length, kind = struct.unpack_from(">I4s", head)
        start = at + 8
        if length == 1 and len(head) == 16:
            length, start = struct.unpack_from(">Q", head, 8)[0], at + 16
        end = parent.end if length == 0 else min(at + length, parent.end)
        if end < start:
            return  # not a box any more: a demuxer stops here as well
        yield Box(kind, start, end)
        at = end


def _read_number(file: BinaryIO, at: int) -> int:
    file.seek(at)
    return int(struct.unpack(">I", file.read(4))[0])


def _check_table(file: BinaryIO, box: Box) -> None:
    """Check that a table lies within its box."""
    if 8 + _ENTRY_BYTES[box.kind] * _read_number(file, box.start + 4) > box.end - box.start:
        raise _LieError


def _check_sizes(file: BinaryIO, box: Box, size: int) -> None:
    """Check how many samples there are: in a table, or all of one size."""
    one_size, count = _read_number(file, box.start + 4), _read_number(file, box.start + 8)
    if box.kind == b"stsz" and one_size:
        if count > max(size // one_size, FREE_COUNT):
            raise _LieError
        return
    bits = 32 if box.kind == b"stsz" else one_size & 0xFF
    if 12 + count * bits // 8 > box.end - box.start:
        raise _LieError


def _check_chunks(file: BinaryIO, table: dict[bytes, Box], size: int) -> None:
    """Check how many samples lie in all chunks together: each takes a byte at least."""
    n_chunks = max(
        (_read_number(file, table[kind].start + 4) for kind in (b"stco", b"co64") if kind in table), default=0
    )
    box = table[b"stsc"]
    n_runs = _read_number(file, box.start + 4)
    file.seek(box.start + 8)
    runs = list(struct.iter_unpack(">III", file.read(12 * n_runs)))
    total = 0
    for place, (first, per_chunk, _) in enumerate(runs):
        following = runs[place + 1][0] if place + 1 < n_runs else n_chunks + 1
        total += max(0, min(following, n_chunks + 1) - first) * per_chunk
    if total > max(size, FREE_COUNT):
        raise _LieError
