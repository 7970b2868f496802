"""FFmpeg in a process of its own, with limits: what a hostile file makes of it stays there.

Run as a script by :mod:`listen.audio.compressed`; it imports nothing of this program, so that it starts in the time
that FFmpeg takes to load. The file comes as standard input (FFmpeg's protocol ``fd``, the only one it may use, so that
no name and no other file is ever opened); the answer goes to standard output as messages.

Conventions: a message is one letter, the length of its content (4 bytes, little-endian) and the content. ``I`` is the
probe as JSON, ``B`` a block (interleaved float32), ``E`` an error as JSON, ``Z`` the end without one.
"""

from __future__ import annotations

import json
import struct
import sys
from contextlib import suppress
from typing import Any, BinaryIO

MAX_ADDRESS_SPACE = 400 << 20
"""Bytes. An ordinary M4A is decoded within 150 MB, most of it the code of FFmpeg and Python."""
CODECS = frozenset(
    {
        *("aac", "aac_latm", "alac", "mp3", "mp3float", "opus", "libopus", "vorbis", "libvorbis", "flac"),
        *("pcm_s16le", "pcm_s16be", "pcm_s24le", "pcm_s24be", "pcm_s32le", "pcm_s32be", "pcm_f32le", "pcm_f32be"),
        *("pcm_u8", "pcm_s8"),
    }
)
"""FFmpeg's decoders that phones, browsers and recorders need; no other one is opened."""
LONGEST_NAME = 40


class RefusedError(Exception):
    """The file cannot be decoded; the reason is a word that the parent puts into a sentence."""

    def __init__(self, reason: str, detail: str = "") -> None:
        super().__init__(reason)
        self.reason, self.detail = reason, detail


def main() -> None:
    """Read the request from the arguments, the file from standard input, and answer."""
    asked = json.loads(sys.argv[1])
    _limit(asked["cpu_s"])
    out = sys.stdout.buffer
    try:
        with _open(asked) as file:
            stream = _find_stream(file)
            if asked["what"] == "probe":
                _send(out, b"I", json.dumps(_probe(file, stream)).encode())
            else:
                _decode(file, stream, asked, out)
        _send(out, b"Z", b"")
    except RefusedError as error:
        _send(out, b"E", json.dumps({"reason": error.reason, "detail": error.detail}).encode())
    except BrokenPipeError:  # the parent has heard enough
        pass
    except Exception:  # (whatever FFmpeg and its binding make of a broken file)
        _send(out, b"E", json.dumps({"reason": "broken", "detail": ""}).encode())


def _limit(cpu_s: int) -> None:
    """Bound memory and time, where the system can."""
    try:
        import resource
    except ImportError:  # Windows has no such limits
        return
    for what, most in (
        (resource.RLIMIT_AS, MAX_ADDRESS_SPACE),
        (resource.RLIMIT_CPU, cpu_s),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        _, hard = resource.getrlimit(what)
        soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
        try:
            resource.setrlimit(what, (soft, hard))
        except (ValueError, OSError):  # macOS takes no limit of address space
            continue


def _open(asked: dict[str, Any]) -> Any:  # a union of reading and writing containers
    import av

    av.logging.set_level(None)
    demuxer = asked["demuxer"]
    return av.open(
        "fd:",
        mode="r",
        format=demuxer,
        options={
            "protocol_whitelist": "fd",
            "format_whitelist": "mov,mp4,m4a,3gp,3g2,mj2" if demuxer == "mov" else demuxer,
            "codec_whitelist": ",".join(sorted(CODECS)),
            **({"enable_drefs": "0", "use_absolute_path": "0"} if demuxer == "mov" else {}),
        },
        metadata_errors="ignore",
    )


def _find_stream(file: Any) -> Any:
    """Return the sound track; its decoder is checked here, since FFmpeg's own list does not reach it."""
    if not file.streams.audio:
        raise RefusedError("no sound")
    stream = file.streams.audio[0]
    context = stream.codec_context
    if context is None:  # FFmpeg knows no decoder for it
        raise RefusedError("codec", "an unknown one")
    if context.codec.name not in CODECS:
        raise RefusedError("codec", str(context.codec.name)[:LONGEST_NAME])
    return stream


def _probe(file: Any, stream: Any) -> dict[str, Any]:
    import av

    said = {"sample_rate_hz": int(stream.rate), "n_channels": int(stream.channels)}
    duration_s = 0.0
    if stream.duration is not None and stream.time_base is not None:
        duration_s = float(stream.duration * stream.time_base)
    elif file.duration is not None:
        duration_s = file.duration / av.time_base
    return {**said, "duration_s": duration_s if duration_s > 0.0 else _measure_packets(file, stream)}


def _measure_packets(file: Any, stream: Any) -> float:
    """Return how many seconds the packets last, undecoded, as far as they go: a browser's recorder writes no length."""
    import av

    begins, ends = max(stream.start_time or 0, 0), 0
    with suppress(av.FFmpegError):  # it breaks off: what is there counts
        for packet in file.demux(stream):
            if packet.pts is not None:
                ends = max(ends, packet.pts + (packet.duration or 0))
    return float(max(ends - begins, 0) * stream.time_base)


def _decode(file: Any, stream: Any, asked: dict[str, Any], out: BinaryIO) -> None:
    import av

    rate, first, last = asked["sample_rate_hz"], asked["first"], asked["last"]
    to_float = av.AudioResampler(format="flt")
    begins = max(stream.start_time or 0, 0)
    # an ADTS stream has no index to seek by: it is decoded from its start
    if first > rate and asked["demuxer"] != "aac":
        file.seek(begins + int((first / rate - 0.5) / stream.time_base), stream=stream)
    frame_bytes = 4 * asked["n_channels"]
    position: int | None = None
    for raw in file.decode(stream):
        if raw.sample_rate != rate or len(raw.layout.channels) != asked["n_channels"]:
            raise RefusedError("changes")
        if position is None:
            # negative where the encoder's run-in comes first, which is no part of the recording
            position = 0 if raw.pts is None else round(float((raw.pts - begins) * raw.time_base) * rate)
        for frame in to_float.resample(raw):
            block = memoryview(frame.planes[0])[: frame.samples * frame_bytes]  # the plane may be padded
            begin, end = max(first - position, 0), frame.samples if last is None else last - position
            position += frame.samples
            if begin < frame.samples and end > 0:
                _send(out, b"B", block[begin * frame_bytes : min(end, frame.samples) * frame_bytes])
        if last is not None and position >= last:
            return


def _send(out: BinaryIO, letter: bytes, content: bytes | memoryview) -> None:
    out.write(letter + struct.pack("<I", len(content)))
    out.write(content)
    if letter != b"B":
        out.flush()


if __name__ == "__main__":
    main()
