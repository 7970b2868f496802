"""WAV, AIFF, FLAC, Ogg (Vorbis, Opus) and MP3: read by libsndfile, in this process.

Conventions: those of :mod:`listen.audio.decode`.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from listen.audio.broken_file import BrokenFileError
from listen.audio.sniff import MP3, Container

Samples = NDArray[np.float32]

BLOCK_FRAMES = 1 << 16
"""1.4 s at 48 kHz: long enough that the loop costs nothing, 16 MiB at the most channels."""
READ_FRAMES = 1 << 12  # read at once: of a file that breaks off, so much may be lost


def probe_plain(path: Path, container: Container) -> tuple[int, int, int]:
    """Ask what a file says about its sound: sample rate in Hz, channels and frames.

    Raises
    ------
    BrokenFileError
    """
    import soundfile

    try:
        with _open(path) as file:
            return int(file.samplerate), int(file.channels), int(file.frames)
    except (soundfile.SoundFileError, OSError, TypeError) as error:
        raise BrokenFileError(path, container) from error


def decode_plain(path: Path, container: Container, *, first: int, last: int | None) -> Iterator[Samples]:
    """Decode frames `first` to `last` (to the end where None), block after block.

    Yields
    ------
    ndarray, shape (n, n_channels), float32

    Raises
    ------
    BrokenFileError
        After all that can be read.
    """
    import soundfile

    with _open(path) as file:
        try:
            if first:
                with _without_remarks(container):
                    file.seek(min(first, file.frames))
            while last is None or first < last:
                wanted = BLOCK_FRAMES if last is None else min(BLOCK_FRAMES, last - first)
                with _without_remarks(container):
                    block = _read_block(file, wanted)
                if len(block) == 0:
                    return
                first += len(block)
                yield block
        except soundfile.SoundFileError as error:
            raise BrokenFileError(path, container) from error


def _read_block(file: Any, n_frames: int) -> Samples:
    """Read so many frames, or all up to where the file ends or breaks off: the next time says that it does."""
    import soundfile

    pieces: list[Samples] = []
    while n_frames:
        try:
            piece: Samples = file.read(min(READ_FRAMES, n_frames), dtype="float32", always_2d=True)
        except soundfile.SoundFileError:
            if not pieces:
                raise
            break
        pieces.append(piece)
        n_frames -= len(piece)
        if not len(piece):
            break
    return np.concatenate(pieces)


def _open(path: Path) -> Any:  # soundfile publishes no types
    """Open by descriptor: soundfile would otherwise take a name ending in .raw for headerless data."""
    import soundfile

    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    try:
        with _without_remarks(MP3):  # whatever it is: a WAV may hold MPEG sound, too
            return soundfile.SoundFile(descriptor, closefd=True)
    except BaseException:
        os.close(descriptor)
        raise


_silencing = threading.RLock()


@contextmanager
def _without_remarks(container: Container) -> Iterator[None]:
    """Keep libmpg123 from printing its own remarks on standard error: they are no sentences for a player."""
    if container is not MP3:
        yield
        return
    with _silencing:
        try:
            kept = os.dup(2)
        except OSError:  # standard error is closed
            yield
            return
        nowhere = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, 2)
            yield
        finally:
            os.dup2(kept, 2)
            os.close(kept)
            os.close(nowhere)
