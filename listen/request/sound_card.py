"""The sound card, where there is one: the optional extra ``sound`` (PortAudio by way of ``sounddevice``)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def has_sound_card() -> bool:
    """Whether sound can be played here."""
    try:
        import sounddevice
    except (ImportError, OSError):  # the extra is not installed, or PortAudio is not
        return False
    try:
        return int(sounddevice.query_devices(kind="output")["max_output_channels"]) > 0
    except (ValueError, sounddevice.PortAudioError):  # no device
        return False


def play_samples(samples: NDArray[np.float32], *, sample_rate_hz: int) -> None:
    """Play samples (mono, -1..1) to their end."""
    import sounddevice

    sounddevice.play(samples, sample_rate_hz, blocking=True)
