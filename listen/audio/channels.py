"""The channels of a recording: which one is heard, and what is odd about them, learnt while their blocks pass by."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio.decode import Samples, SourceInfo
from listen.errors import RecordingError, bad_value

CHANNELS = ("mix", "left", "right", "side")
"""By name; a number (``"3"``) takes that channel, counted from 1."""
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


def check_channel(channel: str, info: SourceInfo, warnings: list[str]) -> str:
    """Return the channel that is asked for as it is called, and warn where there is no choice."""
    channel = channel.strip().lower()
    if channel.isdecimal():
        if not 1 <= int(channel) <= info.n_channels:
            there = "1, the only one" if info.n_channels == 1 else f"1 to {info.n_channels}"
            raise bad_value("channel", channel, allowed=f"{there} for {info.path.name}")
    elif channel not in CHANNELS:
        raise bad_value("channel", channel, allowed=f"{', '.join(CHANNELS)} or a channel's number")
    elif channel != "mix" and info.n_channels == 1:
        warnings.append(f"The recording has one channel, so there is no {channel} to choose: all of it is heard.")
        return "mix"
    return channel


def take_channel(block: Samples, channel: str) -> Samples:
    """One channel of a block; a copy, so that the block can go."""
    if channel == "mix":
        return np.asarray(block.mean(axis=1, dtype=np.float32))
    if channel == "side":
        return np.asarray((block[:, 0] - block[:, 1]) * np.float32(0.5))
    index = {"left": 0, "right": 1}.get(channel)
    return block[:, int(channel) - 1 if index is None else index].copy()


@dataclass(slots=True)
class ChannelSurvey:
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
        """Name the channel with the most power."""
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
