"""A recording of any length as blocks of one channel, in flat memory, each block decoded once."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator

import numpy as np

from listen.audio.asked_span import check_order, describe_length
from listen.audio.channels import ChannelSurvey, check_channel, take_channel
from listen.audio.decode import FileEnd, Samples, SourceInfo, decode_blocks, probe_recording
from listen.errors import RecordingError, bad_value
from listen.evidence import TimeSpan

LONGEST_BLOCK_S = 600.0  # in one block: more is no stream; judged, not measured
LOUDEST = 1e12  # of floating-point samples, of full scale 1: the power of more is no single-precision number
LOOK_S = 30.0  # of sound, from which it is told whether the two channels of a mix cancel


def stream_blocks(
    path: str | os.PathLike[str],
    *,
    channel: str = "mix",
    block_s: float = 10.0,
    span: TimeSpan | None = None,
    end: FileEnd | None = None,
) -> Iterator[Samples]:
    """Read a recording of any length as blocks of one channel, in flat memory; one that breaks off as far as it goes.

    Parameters
    ----------
    path : path
    channel : str
        As :func:`listen.audio.load_recording`. Whether a mix cancels is told from its first half minute of sound.
    block_s : float
        Length of a block; the last may be shorter.
    span : TimeSpan or None
    end : FileEnd or None
        Where it is noted that the file breaks off.

    Yields
    ------
    ndarray, shape (n,), float32
        Mono, at the file's own rate (:func:`listen.audio.probe_recording` tells it); scaled where a floating-point file
        goes far beyond full scale.

    Raises
    ------
    RecordingError, BadValueError
        As :func:`listen.audio.load_recording`.
    """
    if not 0.01 <= block_s <= LONGEST_BLOCK_S:
        raise bad_value("block", block_s, allowed=f"0.01 to {LONGEST_BLOCK_S:.0f} seconds")
    info = probe_recording(path)
    channel = check_channel(channel, info, [])
    start_s, end_s = (0.0, None) if span is None else check_order(span, info)
    size = round(block_s * info.sample_rate_hz)
    waiting: list[Samples] = []
    n_waiting = n_frames = 0
    decoded = decode_blocks(info, start_s=start_s, end_s=end_s, end=end)
    for mono in _scale_down(_take_blocks(info, channel, decoded)):
        n_frames += len(mono)
        while n_waiting + len(mono) >= size:
            cut = size - n_waiting
            yield np.concatenate([*waiting, mono[:cut]])
            waiting, n_waiting, mono = [], 0, mono[cut:]  # noqa: PLW2901  (what is left of it)
        if len(mono):
            waiting.append(mono)
            n_waiting += len(mono)
    if waiting:
        yield np.concatenate(waiting)
    elif n_frames == 0:
        raise RecordingError(describe_length(info.path, 0.0, span))


def _scale_down(blocks: Iterable[Samples]) -> Iterator[Samples]:
    """Divide samples far beyond full scale by what the first of them reach; what was before them is silence."""
    divisor = 1.0
    for block in blocks:
        peak = float(np.abs(block).max(initial=0.0))
        if peak > LOUDEST * divisor:
            divisor = peak
        yield block if divisor == 1.0 else block / np.float32(divisor)


def _take_blocks(info: SourceInfo, channel: str, blocks: Iterator[Samples]) -> Iterator[Samples]:
    """Take one channel of every block; of two that cancel, the louder one instead of the mix."""
    survey = ChannelSurvey(info)
    kept: list[Samples] = []
    looks = channel == "mix" and info.n_channels == 2
    for block in blocks:
        if looks:
            survey.add(block)
            kept.append(block)
            is_silent = not survey.peak
            looks = is_silent or survey.n_frames < LOOK_S * info.sample_rate_hz
            if looks and not is_silent:
                continue
            if survey.cancels:
                channel = survey.loudest_channel(info.n_channels)
            yield from (take_channel(one, channel) for one in kept)
            kept = []
        else:
            survey.check(block)
            yield take_channel(block, channel)
    if survey.cancels:
        channel = survey.loudest_channel(info.n_channels)
    yield from (take_channel(one, channel) for one in kept)
