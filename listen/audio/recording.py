"""Recordings: a file as one channel of samples, with what is odd about it said in words.

Conventions: samples are mono float32, full scale 1.0, at the file's own rate; times in seconds.

>>> from listen.audio import load_recording                              # doctest: +SKIP
>>> recording = load_recording("take3.m4a", channel="left")              # doctest: +SKIP
>>> recording.sample_rate_hz, recording.warnings                         # doctest: +SKIP
"""

from __future__ import annotations

import os
from dataclasses import dataclass

import numpy as np

from listen.audio.asked_span import MIN_DURATION_S, check_order, describe_length
from listen.audio.channels import ChannelSurvey, check_channel, take_channel
from listen.audio.decode import FileEnd, Samples, SourceInfo, decode_blocks, probe_recording
from listen.errors import RecordingError, bad_value
from listen.evidence import TimeSpan

MAX_LOAD_S = 600.0  # a strum is short: what is longer is read as a part; judged, not measured
MAX_LOAD_SAMPLES = 64 << 20
"""256 MiB of float32: ten minutes at 96 kHz."""


@dataclass(frozen=True, slots=True)
class Recording:
    """One channel of a recording.

    Parameters
    ----------
    samples : ndarray, shape (n,), float32
        Mono, the constant part removed.
    sample_rate_hz : int
    duration_s : float
        Of the whole file.
    channel : str
        What was taken: ``"mix"``, ``"left"``, ``"right"``, ``"side"``, or a number counted from 1.
    warnings : tuple of str
        What is odd about it, one sentence each.
    start_s : float
        Where in the file the samples begin.
    """

    samples: Samples
    sample_rate_hz: int
    duration_s: float
    channel: str = "mix"
    warnings: tuple[str, ...] = ()
    start_s: float = 0.0


def load_recording(path: str | os.PathLike[str], *, channel: str = "mix", span: TimeSpan | None = None) -> Recording:
    """Read a recording, or the asked span of it, as one channel.

    Parameters
    ----------
    path : path
    channel : str
        ``"mix"`` (the mean of all channels), ``"left"``, ``"right"``, ``"side"`` (half of left minus right), or a
        channel's number from 1.
    span : TimeSpan or None
        Only this stretch is decoded. Without it at most :data:`MAX_LOAD_S` are read, and a warning says so.

    Raises
    ------
    RecordingError
        The file cannot be read, holds no sound, or holds samples that are no numbers.
    BadValueError
        The channel or the span is not possible.
    """
    info = probe_recording(path)
    warnings: list[str] = []
    channel = check_channel(channel, info, warnings)
    start_s, end_s = _checked_span(span, info, warnings)
    mono, survey, is_broken = _read_channel(info, channel, start_s, end_s)
    if channel == "mix" and survey.cancels:
        channel = survey.loudest_channel(info.n_channels)
        warnings.append(
            f"The two channels cancel each other (opposite phase): the {channel} one is heard instead of the mix."
        )
        mono, survey, is_broken = _read_channel(info, channel, start_s, end_s)
    if len(mono) < MIN_DURATION_S * info.sample_rate_hz:
        raise RecordingError(describe_length(info.path, len(mono) / info.sample_rate_hz, span))
    warnings.extend(survey.warnings(info, channel))
    read_s = start_s + len(mono) / info.sample_rate_hz
    warnings.extend(filter(None, [info.tell_cut_off(read_s, until_s=end_s, is_broken=is_broken)]))
    mono -= np.float32(mono.mean(dtype=np.float64))
    peak = float(np.abs(mono).max(initial=0.0))
    if peak > 1.0:  # floating-point files may hold whole numbers of any size
        mono = mono / np.float32(peak)
    return Recording(mono, info.sample_rate_hz, info.duration_s, channel, tuple(warnings), start_s)


def _checked_span(span: TimeSpan | None, info: SourceInfo, warnings: list[str]) -> tuple[float, float | None]:
    most_s = min(MAX_LOAD_S, MAX_LOAD_SAMPLES / info.sample_rate_hz)
    if span is not None:
        start_s, end_s = check_order(span, info)
        if min(end_s, info.duration_s) - start_s > most_s:
            raise bad_value(
                "span", f"{start_s:g}..{end_s:g} s", allowed=f"at most {most_s:.0f} s at once", remedy="Ask for less."
            )
        return start_s, end_s
    if info.duration_s <= most_s:
        return 0.0, None
    warnings.append(
        f"The recording lasts {info.duration_s / 60:.0f} min: the first {most_s / 60:.0f} min were read. "
        f"Name the stretch you want with a start and an end."
    )
    return 0.0, most_s


def _read_channel(
    info: SourceInfo, channel: str, start_s: float, end_s: float | None
) -> tuple[Samples, ChannelSurvey, bool]:
    """Return also whether the file breaks off: it is read as far as it goes."""
    survey, end = ChannelSurvey(info), FileEnd()
    blocks: list[Samples] = []
    for block in decode_blocks(info, start_s=start_s, end_s=end_s, end=end):
        survey.add(block)
        blocks.append(take_channel(block, channel))
    return (np.concatenate(blocks) if blocks else np.zeros(0, np.float32)), survey, end.is_broken
