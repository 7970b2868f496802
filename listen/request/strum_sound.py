"""The sound around a strum that was read, for whoever shows it."""

from __future__ import annotations

from pathlib import Path

from listen.evidence import TimeSpan
from listen.export import ListenedStretch
from listen.reading import TakeReading

BEFORE_S, LENGTH_S = 1.0, 20.0  # from a second before the strum on


def load_strum_sound(take: TakeReading, path: Path | str) -> ListenedStretch:
    """Load the stretch of a recording that holds the strum, from the channel that was listened to."""
    from listen.audio import load_recording  # heavy

    start_s = max(0.0, take.reading.evidence.span.start_s - BEFORE_S)
    sound = load_recording(path, channel=take.channel, span=TimeSpan(start_s, start_s + LENGTH_S))
    return ListenedStretch(sound.samples, sound.sample_rate_hz, sound.start_s)
