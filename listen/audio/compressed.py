"""Compressed containers (M4A, AAC, MP4, MOV, WebM): asked of FFmpeg in a child process that has limits.

FFmpeg is large, and a file can make it take gigabytes or end the process. In a child that may take
:data:`listen.audio.decode_child.MAX_ADDRESS_SPACE` at most, the worst that a file can do is to be refused. What an MP4
declares of itself is checked before that (:mod:`listen.audio.mp4_boxes`).
"""

from __future__ import annotations

import json
import os
import struct
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import IO, Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from listen.audio.broken_file import BrokenFileError
from listen.audio.mp4_boxes import check_boxes
from listen.audio.sniff import Container
from listen.errors import RecordingError

CHILD = Path(__file__).with_name("decode_child.py")
LEAST_CPU_S, CPU_S_PER_MB = 20, 4
"""An hour of AAC at 128 kb/s has 58 MB and takes some 15 s."""
_HEAD = struct.Struct("<cI")


def probe_compressed(path: Path, container: Container) -> tuple[int, int, float]:
    """Ask what a file says about its sound: sample rate in Hz, channels and length in seconds.

    Where the container does not say how long it is, its packets are counted.

    Raises
    ------
    RecordingError
        It is broken, holds no sound, or sound of a kind that is not read.
    """
    status = path.stat()
    return _probe_once(path, container, (status.st_dev, status.st_ino, status.st_size, status.st_mtime_ns))


@lru_cache(maxsize=64)
def _probe_once(path: Path, container: Container, _state: tuple[int, ...]) -> tuple[int, int, float]:
    """Probe a file in one state of it: commands ask several times, and each time would be a process."""
    with _ask(path, container, {"what": "probe"}) as messages:
        for letter, content in messages:
            if letter == b"I":
                said = json.loads(content)
                return said["sample_rate_hz"], said["n_channels"], said["duration_s"]
    raise BrokenFileError(path, container)


def decode_compressed(
    path: Path, container: Container, *, sample_rate_hz: int, n_channels: int, first: int, last: int | None
) -> Iterator[NDArray[np.float32]]:
    """Decode frames `first` to `last` (to the end where None), block after block.

    Yields
    ------
    ndarray, shape (n, n_channels), float32

    Raises
    ------
    BrokenFileError
    RecordingError
        The file changes its rate or channels.
    """
    request = {
        "what": "decode", "sample_rate_hz": sample_rate_hz, "n_channels": n_channels, "first": first, "last": last,
    }  # fmt: skip
    with _ask(path, container, request) as messages:
        for letter, content in messages:
            if letter == b"B":
                yield np.frombuffer(content, np.float32).reshape(-1, n_channels)


@contextmanager
def _ask(path: Path, container: Container, request: dict[str, Any]) -> Iterator[Iterator[tuple[bytes, bytes]]]:
    """Start the child on a file; it ends with the block."""
    with path.open("rb") as file:
        size = os.fstat(file.fileno()).st_size
        if container.demuxer == "mov":
            check_boxes(file, size, path)
        file.seek(0)
        os.lseek(file.fileno(), 0, os.SEEK_SET)
        asked = {"demuxer": container.demuxer, "cpu_s": LEAST_CPU_S + CPU_S_PER_MB * (size >> 20), **request}
        child = _start_child(json.dumps(asked), file)
    assert child.stdout is not None  # noqa: S101  (asked for above; tells mypy)
    try:
        yield _read_messages(child.stdout, path, container)
    finally:
        child.kill()
        child.stdout.close()
        child.wait()


def _start_child(asked: str, file: BinaryIO) -> subprocess.Popen[bytes]:
    return subprocess.Popen(  # noqa: S603  (our own interpreter and script; the file comes as its input)
        [sys.executable, "-P", str(CHILD), asked], stdin=file, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )


def _read_messages(stream: IO[bytes], path: Path, container: Container) -> Iterator[tuple[bytes, bytes]]:
    """Go through what the child says; it must say that it came to the end."""
    while True:
        head = stream.read(_HEAD.size)
        if len(head) < _HEAD.size:  # it was ended by a limit, or by the file
            raise BrokenFileError(path, container)
        letter, length = _HEAD.unpack(head)
        content = stream.read(length)
        if letter == b"Z":
            return
        if letter == b"E":
            raise _refusal(json.loads(content), path, container)
        yield letter, content


def _refusal(said: dict[str, str], path: Path, container: Container) -> RecordingError:
    if said["reason"] == "no sound":
        return RecordingError(f"{path} holds no sound track: it may be a film without sound.")
    if said["reason"] == "codec":
        return RecordingError(
            f"{path} holds sound in a codec that is not read ({said['detail']}): save it as WAV, FLAC, MP3 or AAC."
        )
    if said["reason"] == "changes":
        return RecordingError(f"{path} changes its rate or channels on the way: export it again.")
    return BrokenFileError(path, container)
