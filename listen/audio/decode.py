"""Decoding: a file's sound as blocks of samples, whatever the container, without ever holding more than a block.

A recording is hostile until read: the container is told from its magic bytes, rate, channels and length are checked
before anything is allocated, and what FFmpeg reads it reads in a process of its own (:mod:`listen.audio.compressed`).

Conventions: blocks are ``ndarray, shape (n, n_channels), float32``, full scale 1.0; times in seconds from the start
of the file.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, isinf
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio.broken_file import BrokenFileError
from listen.audio.compressed import decode_compressed, probe_compressed
from listen.audio.plain_sound import decode_plain, probe_plain
from listen.audio.sniff import ADTS, HEAD_BYTES, MP3, Container, describe_head, find_container, measure_id3_tag
from listen.audio.told_length import ends_in_the_middle, measure_told_share
from listen.errors import RecordingError

Samples = NDArray[np.float32]

MIN_RATE_HZ = 8_000
MAX_RATE_HZ = 192_000
MAX_CHANNELS = 32
LEAST_MISSING_S = 0.1  # of a file that was cut off, and is said to be; judged, not measured
UNREAD_S, UNREAD_SHARE = 0.5, 1.02  # the same where only a length is told, which containers round; judged
GUESSED_LENGTHS = (MP3, ADTS)  # by how many bytes a second of it has
BREAKS_OFF = "The file breaks off early"
READABLE = "WAV, FLAC, OGG, Opus, MP3, M4A, AAC, MP4, MOV and WebM files"


@dataclass(frozen=True, slots=True)
class SourceInfo:
    """What a file says about its sound before any of it is decoded.

    Parameters
    ----------
    path : Path
    container : Container
    sample_rate_hz : int
    n_channels : int
    duration_s : float
    told_s : float or None
        Of a file that was cut off: how long its header says that it is; infinite where only its end is missing.
    """

    path: Path
    container: Container
    sample_rate_hz: int
    n_channels: int
    duration_s: float
    told_s: float | None = None

    @property
    def cut_off(self) -> str:
        """One sentence that says how much of a file is missing; empty where all of it is there."""
        if self.told_s is None or self.told_s - self.duration_s <= LEAST_MISSING_S:
            return ""
        of_all = "" if isinf(self.told_s) else f", of {self.told_s:.1f} s"
        return f"{BREAKS_OFF}: {self.duration_s:.1f} s of it are there{of_all}."

    def tell_cut_off(
        self, read_s: float, *, until_s: float | None = None, is_whole: bool = True, is_broken: bool = False
    ) -> str:
        """Say the same of a file that was read: no header of an M4A or a WebM tells how much of it is there.

        Parameters
        ----------
        read_s : float
            How much of it could be read, from its start.
        until_s : float or None
            How much of it was asked for; None for all of it.
        is_whole : bool
            Whether all that was asked for was read; where reading was stopped, only the header tells.
        is_broken : bool
            Whether its decoder gave up there.
        """
        said = self.cut_off if until_s is None else ""
        told_s = 0.0 if self.container in GUESSED_LENGTHS else self.duration_s
        expected_s = min(inf if until_s is None else until_s, told_s)
        if is_whole and not said and (is_broken or expected_s > UNREAD_S + UNREAD_SHARE * read_s):
            said = f"{BREAKS_OFF}: {read_s:.1f} s of it could be read."
        return said


def probe_recording(path: str | os.PathLike[str]) -> SourceInfo:
    """Look at a file: what it is, its rate, channels and length.

    Raises
    ------
    RecordingError
        It is missing, a folder, empty, no recording, broken, or outside the caps.
    """
    path = Path(path)
    container = _sniff(path)
    if container.decoder == "soundfile":
        info = _probe_told(path, container)
    else:
        info = SourceInfo(path, container, *probe_compressed(path, container))
    if not MIN_RATE_HZ <= info.sample_rate_hz <= MAX_RATE_HZ:
        raise RecordingError(
            f"{path}: a sample rate of {info.sample_rate_hz} Hz cannot be read; it takes 8000 to 192000 Hz. "
            f"Save the recording again at 44100 or 48000 Hz."
        )
    if not 1 <= info.n_channels <= MAX_CHANNELS:
        raise RecordingError(
            f"{path}: {info.n_channels} channels cannot be read; it takes 1 to {MAX_CHANNELS}. "
            f"Save the guitar's channel as a mono file."
        )
    return info


@dataclass(slots=True)
class FileEnd:
    """How a file ends: learnt when its last block has passed by.

    Parameters
    ----------
    is_broken : bool
        Whether its decoder gave up there.
    """

    is_broken: bool = False


def decode_blocks(
    info: SourceInfo, *, start_s: float = 0.0, end_s: float | None = None, end: FileEnd | None = None
) -> Iterator[Samples]:
    """Decode a stretch of a file, block after block, in flat memory; a file that breaks off as far as it goes.

    Parameters
    ----------
    info : SourceInfo
        From :func:`probe_recording`.
    start_s, end_s : float
        The stretch; to the end of the file where ``end_s`` is None.
    end : FileEnd or None
        Where it is noted that the file breaks off.

    Yields
    ------
    ndarray, shape (n, n_channels), float32

    Raises
    ------
    RecordingError
        Nothing of the stretch can be decoded, or the file changes its rate or channels.
    """
    is_begun = False
    try:
        for block in _decode(info, start_s, end_s):
            is_begun = True
            yield block
    except BrokenFileError:
        if not is_begun:
            raise
        if end is not None:
            end.is_broken = True


def _decode(info: SourceInfo, start_s: float, end_s: float | None) -> Iterator[Samples]:
    first = round(start_s * info.sample_rate_hz)
    last = None if end_s is None else max(first, round(end_s * info.sample_rate_hz))
    if info.container.decoder == "soundfile":
        return decode_plain(info.path, info.container, first=first, last=last)
    return decode_compressed(
        info.path,
        info.container,
        sample_rate_hz=info.sample_rate_hz,
        n_channels=info.n_channels,
        first=first,
        last=last,
    )


def _probe_told(path: Path, container: Container) -> SourceInfo:
    """Look at a file whose header may tell of more than is there."""
    rate, channels, frames = probe_plain(path, container)
    duration_s = frames / rate if rate > 0 else 0.0
    share = inf if ends_in_the_middle(path, container) else measure_told_share(path, container)
    if frames == 0 and share > 1.0:
        raise BrokenFileError(path, container)
    if share == 1.0:
        return SourceInfo(path, container, rate, channels, duration_s)
    if container is MP3:  # its frames are counted by what is told
        duration_s /= share
    return SourceInfo(path, container, rate, channels, duration_s, duration_s * share)


def _sniff(path: Path) -> Container:
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise RecordingError(f"{path} is a folder: name the recordings in it, for instance {path}/*.wav.")
        if not stat.S_ISREG(status.st_mode):
            raise RecordingError(f"{path} is no ordinary file: save the recording to a file first.")
        if status.st_size == 0:
            raise RecordingError(f"{path} is empty (0 bytes): record or copy it again.")
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
            tag = measure_id3_tag(head)
            after_tag = b""
            if tag:
                file.seek(tag)
                after_tag = file.read(4)
    except FileNotFoundError:
        raise RecordingError(f"{path}: there is no such file. Check the name and the folder.") from None
    except PermissionError:
        raise RecordingError(f"{path} may not be read: check the file's permissions.") from None
    except (OSError, ValueError) as error:  # a name that is too long, or holds a zero byte
        reason = getattr(error, "strerror", None) or error
        raise RecordingError(f"{str(path)!r} cannot be opened ({reason}). Check the name.") from None
    container = find_container(head, after_tag=after_tag)
    if container is None:
        raise RecordingError(
            f"{path} is no recording that can be read: its content is {describe_head(head)}. {READABLE} are read."
        )
    return container
