"""Decoding: a file's sound as blocks of samples, whatever the container, without ever holding more than a block.

A recording is hostile until read: the container is told from its magic bytes, the demuxer is named, FFmpeg may open
the one file and nothing else, and rate, channels and length are checked before anything is allocated.

Conventions: blocks are ``ndarray, shape (n, n_channels), float32``, full scale 1.0; times in seconds from the start
of the file.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from listen.audio.sniff import HEAD_BYTES, Container, describe_head, find_container, measure_id3_tag
from listen.errors import RecordingError

Samples = NDArray[np.float32]

MIN_RATE_HZ = 8_000
MAX_RATE_HZ = 192_000
MAX_CHANNELS = 32
BLOCK_FRAMES = 1 << 16
"""1.4 s at 48 kHz: long enough that the loop costs nothing, 16 MiB at the most channels."""
READABLE = "WAV, FLAC, OGG, Opus, MP3, M4A, AAC, MP4, MOV and WebM files"

_AV_CODECS = (
    "aac,aac_latm,alac,mp3,mp3float,opus,libopus,vorbis,libvorbis,flac,"
    "pcm_s16le,pcm_s16be,pcm_s24le,pcm_s24be,pcm_s32le,pcm_f32le,pcm_f32be"
)


@dataclass(frozen=True, slots=True)
class SourceInfo:
    """What a file says about its sound before any of it is decoded.

    Parameters
    ----------
    path : Path
    container : Container
    sample_rate_hz : int
    n_channels : int
    duration_s : float or None
        None where the container does not say (a WebM from a browser's recorder).
    """

    path: Path
    container: Container
    sample_rate_hz: int
    n_channels: int
    duration_s: float | None


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
        info = _probe_with_soundfile(path, container)
    else:
        info = _probe_with_av(path, container)
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


def decode_blocks(info: SourceInfo, *, start_s: float = 0.0, end_s: float | None = None) -> Iterator[Samples]:
    """Decode a stretch of a file, block after block, in flat memory.

    Parameters
    ----------
    info : SourceInfo
        From :func:`probe_recording`.
    start_s, end_s : float
        The stretch; to the end of the file where ``end_s`` is None.

    Yields
    ------
    ndarray, shape (n, n_channels), float32

    Raises
    ------
    RecordingError
        The file breaks off in the middle of a block, or changes its rate or channels.
    """
    first = round(start_s * info.sample_rate_hz)
    last = None if end_s is None else max(first, round(end_s * info.sample_rate_hz))
    if info.container.decoder == "soundfile":
        return _decode_with_soundfile(info, first, last)
    return _decode_with_av(info, first, last)


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
        raise RecordingError(f"{str(path)[:80]!r} cannot be opened ({reason}). Check the name.") from None
    container = find_container(head, after_tag=after_tag)
    if container is None:
        raise RecordingError(
            f"{path} is no recording that can be read: its content is {describe_head(head)}. {READABLE} are read."
        )
    return container


def _broken(path: Path, container: Container) -> RecordingError:
    return RecordingError(
        f"{path} begins as a {container.name} file but is broken or cut off: copy or export the recording again."
    )


# --- soundfile: WAV, AIFF, FLAC, Ogg (Vorbis, Opus), MP3


def _open_soundfile(path: Path) -> Any:  # soundfile publishes no types
    """Open by descriptor: soundfile would otherwise take a name ending in .raw for headerless data."""
    import soundfile

    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    try:
        return soundfile.SoundFile(descriptor, closefd=True)
    except BaseException:
        os.close(descriptor)
        raise


def _probe_with_soundfile(path: Path, container: Container) -> SourceInfo:
    import soundfile

    try:
        with _open_soundfile(path) as file:
            rate, channels, frames = int(file.samplerate), int(file.channels), int(file.frames)
    except (soundfile.SoundFileError, OSError, TypeError) as error:
        raise _broken(path, container) from error
    return SourceInfo(path, container, rate, channels, frames / rate if rate > 0 else None)


def _decode_with_soundfile(info: SourceInfo, first: int, last: int | None) -> Iterator[Samples]:
    import soundfile

    with _open_soundfile(info.path) as file:
        try:
            if first:
                file.seek(min(first, file.frames))
            while last is None or first < last:
                wanted = BLOCK_FRAMES if last is None else min(BLOCK_FRAMES, last - first)
                block: Samples = file.read(wanted, dtype="float32", always_2d=True)
                if len(block) == 0:
                    return
                first += len(block)
                yield block
        except soundfile.SoundFileError as error:
            raise _broken(info.path, info.container) from error


# --- PyAV (FFmpeg): M4A, AAC, MP4, MOV, WebM


def _open_av(path: Path, container: Container) -> Any:  # a union of reading and writing containers
    import av

    av.logging.set_level(None)
    return av.open(
        f"file:{path.resolve()}",
        mode="r",
        format=container.demuxer,
        options={
            "protocol_whitelist": "file",
            "format_whitelist": container.demuxer if container.demuxer != "mov" else "mov,mp4,m4a,3gp,3g2,mj2",
            "codec_whitelist": _AV_CODECS,
            **({"enable_drefs": "0", "use_absolute_path": "0"} if container.demuxer == "mov" else {}),
        },
        metadata_errors="ignore",
    )


def _probe_with_av(path: Path, container: Container) -> SourceInfo:
    import av

    try:
        with _open_av(path, container) as file:
            if not file.streams.audio:
                raise RecordingError(f"{path} holds no sound track: it may be a film without sound.")
            stream = file.streams.audio[0]
            duration_s = None
            if stream.duration is not None and stream.time_base is not None:
                duration_s = float(stream.duration * stream.time_base)
            elif file.duration is not None:
                duration_s = file.duration / av.time_base
            return SourceInfo(path, container, int(stream.rate), int(stream.channels), duration_s)
    except (av.FFmpegError, OSError, ValueError) as error:
        raise _broken(path, container) from error


def _decode_with_av(info: SourceInfo, first: int, last: int | None) -> Iterator[Samples]:
    import av

    rate = info.sample_rate_hz
    with _open_av(info.path, info.container) as file:
        stream = file.streams.audio[0]
        to_float = av.AudioResampler(format="fltp")
        begins = max(stream.start_time or 0, 0)
        # an ADTS stream has no index to seek by: it is decoded from its start
        if first > rate and info.container.demuxer != "aac":
            file.seek(begins + int((first / rate - 0.5) / stream.time_base), stream=stream)
        position: int | None = None
        try:
            for raw in file.decode(stream):
                if raw.sample_rate != rate or len(raw.layout.channels) != info.n_channels:
                    raise RecordingError(f"{info.path} changes its rate or channels on the way: export it again.")
                if position is None:
                    # negative where the encoder's run-in comes first, which is no part of the recording
                    position = 0 if raw.pts is None else round(float((raw.pts - begins) * raw.time_base) * rate)
                for frame in to_float.resample(raw):
                    block = np.ascontiguousarray(frame.to_ndarray().T, dtype=np.float32)
                    begin, end = first - position, len(block) if last is None else last - position
                    position += len(block)
                    if begin < len(block) and end > 0:
                        yield block[max(begin, 0) : end]
                if last is not None and position >= last:
                    return
        except (av.FFmpegError, ValueError) as error:
            raise _broken(info.path, info.container) from error
