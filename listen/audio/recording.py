"""Recordings: a file as one channel of samples, with what is odd about it said in words.

Conventions: samples are mono float32, full scale 1.0, at the file's own rate; times in seconds.

>>> from listen.audio import load_recording                              # doctest: +SKIP
>>> recording = load_recording("take3.m4a", channel="left")              # doctest: +SKIP
>>> recording.sample_rate_hz, recording.warnings                         # doctest: +SKIP
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio.decode import Samples, SourceInfo, decode_blocks, probe_recording
from listen.errors import RecordingError, bad_value
from listen.evidence import TimeSpan

CHANNELS = ("mix", "left", "right", "side")
"""By name; a number (``"3"``) takes that channel, counted from 1."""
MIN_DURATION_S = 0.1
"""A tenth of a second holds eight periods of the low E: less cannot be told from a click."""
MAX_LOAD_S = 600.0
MAX_LOAD_SAMPLES = 64 << 20
"""256 MiB of float32: ten minutes at 96 kHz."""

ANTI_PHASE_POWER = 0.2
"""Mix power over mean channel power. Equal channels give 1, unrelated ones 0.5, a correlation of -0.6 gives 0.2."""
SILENT_CHANNEL_DB = -60.0
"""Against the loudest channel: below this a channel carries only crosstalk and hiss."""
DC_WARNING = 0.02
"""Of full scale: a healthy recording stays below 0.001."""
CLIPPED_RUN = 3
"""Samples in a row at the very top: a sine that fills full scale at 440 Hz and 44.1 kHz has two within 1e-4."""
CLIPPED_RUNS = 10
COARSE_STEP = 2e-4
"""Of the peak: where the next lower level lies further down (8 bits, A-law, a very quiet file) every sound is flat at
its top and clipping cannot be told: a sine of 100 Hz at 44.1 kHz stays within 2e-4 of its peak for three samples."""


@dataclass(frozen=True, slots=True)
class Recording:
    """One channel of a recording.

    Parameters
    ----------
    samples : ndarray, shape (n,), float32
        Mono, the constant part removed.
    sample_rate_hz : int
    duration_s : float
        Of the whole file as it says, or of what was read where it does not say.
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
    channel = _checked_channel(channel, info, warnings)
    start_s, end_s = _checked_span(span, info, warnings)
    mono, survey = _read_channel(info, channel, start_s, end_s)
    if channel == "mix" and survey.cancels:
        channel = survey.loudest_channel(info.n_channels)
        warnings.append(
            f"The two channels cancel each other (opposite phase): the {channel} one is heard instead of the mix."
        )
        mono, survey = _read_channel(info, channel, start_s, end_s)
    if len(mono) < MIN_DURATION_S * info.sample_rate_hz:
        raise RecordingError(_too_short(info.path, len(mono) / info.sample_rate_hz, span))
    warnings.extend(survey.warnings(info, channel))
    expected_s = (info.duration_s or 0.0) if end_s is None else min(end_s, info.duration_s or end_s)
    if info.container.name != "MP3" and expected_s - start_s > 0.5 + 1.02 * len(mono) / info.sample_rate_hz:
        warnings.append(f"The file breaks off early: {len(mono) / info.sample_rate_hz:.1f} s of it could be read.")
    mono -= np.float32(mono.mean(dtype=np.float64))
    peak = float(np.abs(mono).max(initial=0.0))
    if peak > 1.0:  # floating-point files may hold whole numbers of any size
        mono = mono / np.float32(peak)
    duration_s = info.duration_s if info.duration_s is not None else start_s + len(mono) / info.sample_rate_hz
    return Recording(mono, info.sample_rate_hz, duration_s, channel, tuple(warnings), start_s)


def stream_blocks(
    path: str | os.PathLike[str], *, channel: str = "mix", block_s: float = 10.0, span: TimeSpan | None = None
) -> Iterator[Samples]:
    """Read a recording of any length as blocks of one channel, in flat memory.

    Parameters
    ----------
    path : path
    channel : str
        As :func:`load_recording`. Whether a mix cancels is told from the first :data:`MAX_LOAD_S` at most, as the
        loudest of them say.
    block_s : float
        Length of a block; the last may be shorter.
    span : TimeSpan or None

    Yields
    ------
    ndarray, shape (n,), float32
        Mono, at the file's own rate (:func:`listen.audio.probe_recording` tells it).

    Raises
    ------
    RecordingError, BadValueError
        As :func:`load_recording`.
    """
    if not 0.01 <= block_s <= MAX_LOAD_S:
        raise bad_value("block", block_s, allowed=f"0.01 to {MAX_LOAD_S:.0f} seconds")
    info = probe_recording(path)
    channel = _checked_channel(channel, info, [])
    start_s, end_s = (0.0, None) if span is None else _checked_order(span, info)
    if channel == "mix" and info.n_channels > 1:
        survey = _ChannelSurvey(info)
        until_s = start_s + MAX_LOAD_S if end_s is None else min(end_s, start_s + MAX_LOAD_S)
        for block in decode_blocks(info, start_s=start_s, end_s=until_s):
            survey.add(block)
        if survey.cancels:
            channel = survey.loudest_channel(info.n_channels)
    size = round(block_s * info.sample_rate_hz)
    waiting: list[Samples] = []
    n_waiting = 0
    seen = _ChannelSurvey(info)
    for block in decode_blocks(info, start_s=start_s, end_s=end_s):
        seen.check(block)
        mono = _take_channel(block, channel)
        while n_waiting + len(mono) >= size:
            cut = size - n_waiting
            yield np.concatenate([*waiting, mono[:cut]])
            waiting, n_waiting, mono = [], 0, mono[cut:]
        if len(mono):
            waiting.append(mono)
            n_waiting += len(mono)
    if waiting:
        yield np.concatenate(waiting)
    elif seen.n_frames == 0:
        raise RecordingError(_too_short(info.path, 0.0, span))


# --- what is asked


def _checked_channel(channel: str, info: SourceInfo, warnings: list[str]) -> str:
    channel = channel.strip().lower()
    if channel.isdecimal():
        if not 1 <= int(channel) <= info.n_channels:
            raise bad_value("channel", channel, allowed=f"1 to {info.n_channels} for {info.path.name}")
    elif channel not in CHANNELS:
        raise bad_value("channel", channel, allowed=f"{', '.join(CHANNELS)} or a channel's number")
    elif channel != "mix" and info.n_channels == 1:
        warnings.append(f"The recording has one channel, so there is no {channel} to choose: all of it is heard.")
        return "mix"
    return channel


def _checked_order(span: TimeSpan, info: SourceInfo) -> tuple[float, float]:
    start_s, end_s = span.start_s, span.end_s
    if not (math.isfinite(start_s) and math.isfinite(end_s) and 0.0 <= start_s < end_s):
        raise bad_value("span", f"{start_s}..{end_s} s", allowed="a start of 0 or more and an end after it, in seconds")
    if info.duration_s is not None and start_s >= info.duration_s:
        raise bad_value(
            "span",
            f"{start_s:g}..{end_s:g} s",
            allowed=f"a start before the recording's end at {info.duration_s:.2f} s",
        )
    return start_s, end_s


def _checked_span(span: TimeSpan | None, info: SourceInfo, warnings: list[str]) -> tuple[float, float | None]:
    most_s = min(MAX_LOAD_S, MAX_LOAD_SAMPLES / info.sample_rate_hz)
    if span is not None:
        start_s, end_s = _checked_order(span, info)
        if min(end_s, info.duration_s or end_s) - start_s > most_s:
            raise bad_value(
                "span", f"{start_s:g}..{end_s:g} s", allowed=f"at most {most_s:.0f} s at once", remedy="Ask for less."
            )
        return start_s, end_s
    if info.duration_s is not None and info.duration_s <= most_s:
        return 0.0, None
    if info.duration_s is not None:
        warnings.append(
            f"The recording lasts {info.duration_s / 60:.0f} min: the first {most_s / 60:.0f} min were read. "
            f"Name the stretch you want with a start and an end."
        )
    return 0.0, most_s


def _too_short(path: Path, duration_s: float, span: TimeSpan | None) -> str:
    if duration_s == 0.0:
        where = "" if span is None else " in the asked span"
        return f"{path} holds no sound{where} (zero samples): record or export it again."
    return f"{path} lasts {1000 * duration_s:.0f} ms: a strum needs {1000 * MIN_DURATION_S:.0f} ms at least."


# --- reading and looking at channels


def _take_channel(block: Samples, channel: str) -> Samples:
    """One channel of a block; a copy, so that the block can go."""
    if channel == "mix":
        return np.asarray(block.mean(axis=1, dtype=np.float32))
    if channel == "side":
        return np.asarray((block[:, 0] - block[:, 1]) * np.float32(0.5))
    index = {"left": 0, "right": 1}.get(channel)
    return block[:, int(channel) - 1 if index is None else index].copy()


def _read_channel(
    info: SourceInfo, channel: str, start_s: float, end_s: float | None
) -> tuple[Samples, _ChannelSurvey]:
    survey = _ChannelSurvey(info)
    blocks: list[Samples] = []
    try:
        for block in decode_blocks(info, start_s=start_s, end_s=end_s):
            survey.add(block)
            blocks.append(_take_channel(block, channel))
    except RecordingError:
        if not blocks:  # a file that breaks off after some sound is read as far as it goes
            raise
    return (np.concatenate(blocks) if blocks else np.zeros(0, np.float32)), survey


@dataclass(slots=True)
class _ChannelSurvey:
    """What is learnt about the channels while their blocks pass by."""

    info: SourceInfo
    n_frames: int = 0
    sums: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))
    powers: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))
    mix_power: float = 0.0
    n_clipped_runs: int = 0
    peak: float = 0.0

    def check(self, block: Samples) -> None:
        """Refuse samples that are no numbers."""
        if not np.isfinite(block).all():
            at_s = (self.n_frames + int(np.argmin(np.isfinite(block).all(axis=1)))) / self.info.sample_rate_hz
            raise bad_samples(self.info.path, at_s)
        self.n_frames += len(block)

    def add(self, block: Samples) -> None:
        """Take one block into account."""
        self.check(block)
        if not len(self.sums):
            self.sums, self.powers = np.zeros(block.shape[1]), np.zeros(block.shape[1])
        self.sums += block.sum(axis=0, dtype=np.float64)
        self.powers += np.square(block, dtype=np.float64).sum(axis=0)
        self.mix_power += float(np.square(block.mean(axis=1), dtype=np.float64).sum())
        self.n_clipped_runs += count_clipped_runs(block)
        self.peak = max(self.peak, float(np.abs(block).max(initial=0.0)))

    @property
    def cancels(self) -> bool:
        """Whether two channels cancel in the mix."""
        if len(self.powers) != 2 or self.n_frames == 0:
            return False
        steady = np.square(self.sums) / self.n_frames
        mean_power = float(np.maximum(self.powers - steady, 0.0).mean())
        mix_power = max(self.mix_power - float(self.sums.mean()) ** 2 / self.n_frames, 0.0)
        return mean_power > 0.0 and mix_power < ANTI_PHASE_POWER * mean_power

    def loudest_channel(self, n_channels: int) -> str:
        index = int(np.argmax(self.powers))
        return ("left", "right")[index] if n_channels == 2 else str(index + 1)

    def warnings(self, info: SourceInfo, channel: str) -> list[str]:
        """Say what is odd, one sentence each."""
        found = []
        if self.n_clipped_runs >= CLIPPED_RUNS:
            found.append(
                "The recording is clipped (its peaks are cut flat), which adds false overtones: record it quieter."
            )
        if self.n_frames and float(np.abs(self.sums / self.n_frames).max()) > DC_WARNING * max(1.0, self.peak):
            found.append("The recording has a constant (DC) offset, which was removed.")
        if info.n_channels > 1 and channel == "mix" and self.powers.max() > 0.0:
            quiet = self.powers < self.powers.max() * 10 ** (SILENT_CHANNEL_DB / 10)
            if quiet.any():
                names = ["left", "right"] if info.n_channels == 2 else [str(k + 1) for k in range(info.n_channels)]
                silent = [name for name, is_quiet in zip(names, quiet, strict=True) if is_quiet]
                found.append(f"Silent channels: {', '.join(silent)}.")
        return found


def count_clipped_runs(block: Samples) -> int:
    """Count the places where a channel stays flat at its extreme value for several samples.

    Examples
    --------
    >>> tone = np.sin(np.arange(4410) * 0.06).astype(np.float32)[:, None]
    >>> count_clipped_runs(tone), count_clipped_runs(np.clip(2 * tone, -1, 1)) > 50
    (0, True)
    """
    peak = np.abs(block).max(axis=0, initial=0.0)
    if not (peak > 1e-3).any():
        return 0
    levels = np.abs(block)
    flat = (levels >= peak * (1.0 - 1e-6)) & (peak > 1e-3)
    flat &= peak - np.where(flat, 0.0, levels).max(axis=0) < COARSE_STEP * peak
    held = flat[: -(CLIPPED_RUN - 1)]
    for shift in range(1, CLIPPED_RUN):
        held = held & flat[shift : len(flat) - (CLIPPED_RUN - 1) + shift]
    starts = held[1:] & ~held[:-1]
    return int(starts.sum())


def bad_samples(path: Path, at_s: float) -> RecordingError:
    """Make the error for samples that are no numbers."""
    return RecordingError(
        f"{path} holds samples that are no numbers (NaN or infinite), first at {at_s:.3f} s: export it again."
    )
