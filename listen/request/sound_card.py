"""The sound card, where there is one: the optional extra ``sound`` (PortAudio by way of ``sounddevice``)."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

LOOKS_EVERY_S = 0.05  # whether a sound is skipped: no longer than a finger rests on a key


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


def play_samples(
    samples: NDArray[np.float32], *, sample_rate_hz: int, is_skipped: Callable[[], bool] | None = None
) -> None:
    """Play samples (mono, -1..1) to their end, or until they are skipped; an interrupt stops the sound as well."""
    import sounddevice

    if is_skipped is None:
        sounddevice.play(samples, sample_rate_hz, blocking=True)
        return
    sounddevice.play(samples, sample_rate_hz)
    try:
        while sounddevice.get_stream().active and not is_skipped():
            time.sleep(LOOKS_EVERY_S)
    finally:
        sounddevice.stop()
