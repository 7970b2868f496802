"""A hummed note: drawn voices with vibrato, drift and noise; silence and speech are none."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from listen.audio import estimate_hum

RATE_HZ = 16_000
Samples = np.ndarray[tuple[int], np.dtype[np.float32]]


def sing(midi: float, *, seed: int = 0, seconds: float = 1.2, noise_db: float = -30.0) -> Samples:
    """Draw a hum: a buzz with vibrato through a dark vowel."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    wobble = 0.2 * np.sin(2 * np.pi * 5.3 * time_s + rng.uniform(0, 6)) + 0.05 * np.cumsum(
        rng.normal(0, 0.002, time_s.size)
    )
    phase = 2 * np.pi * np.cumsum(440.0 * 2.0 ** ((midi - 69 + wobble) / 12)) / RATE_HZ
    hum = sum(np.sin(k * phase) / k**1.6 for k in range(1, 14))
    hum = hum * np.minimum(1.0, np.minimum(time_s, time_s[::-1]) / 0.08)
    hum = 0.3 * hum / np.abs(hum).max()
    return np.asarray(hum + 0.3 * 10 ** (noise_db / 20) * rng.standard_normal(time_s.size), np.float32)


def test_drawn_voices_are_heard_within_thirty_cents() -> None:
    rng = np.random.default_rng(3)
    wanted = rng.uniform(43, 67, 4)
    for seed, midi in enumerate(wanted):
        heard = estimate_hum(sing(midi, seed=seed), sample_rate_hz=RATE_HZ).midi
        assert heard is not None
        assert abs(heard - midi) < 0.3


@pytest.mark.parametrize("mains", [0.0, 0.004])
def test_what_lies_around_a_hum_is_no_part_of_it(mains: float) -> None:
    around = (mains * np.sin(2 * np.pi * 100.0 * np.arange(3 * RATE_HZ) / RATE_HZ)).astype(np.float32)
    heard = estimate_hum(np.concatenate([around, sing(50.0), around]), sample_rate_hz=RATE_HZ).midi
    assert heard is not None
    assert abs(heard - 50.0) < 0.3


def test_silence_is_no_hum() -> None:
    hum = estimate_hum(np.zeros(RATE_HZ, np.float32), sample_rate_hz=RATE_HZ)
    assert hum.midi is None
    assert "silent" in hum.reason


def test_noise_is_no_hum() -> None:
    noise = np.random.default_rng(1).normal(0, 0.1, 2 * RATE_HZ).astype(np.float32)
    assert estimate_hum(noise, sample_rate_hz=RATE_HZ).midi is None


def test_a_line_of_short_notes_is_no_hum() -> None:
    line = np.concatenate([sing(midi, seed=midi, seconds=0.35) for midi in (52, 55, 50, 57, 53)])
    assert estimate_hum(line, sample_rate_hz=RATE_HZ).midi is None


def test_speech_is_no_hum(tmp_path: Path) -> None:
    if shutil.which("espeak-ng") is None:
        pytest.skip("Debian's espeak-ng is not installed")
    import soundfile

    path = tmp_path / "said.wav"
    subprocess.run(["espeak-ng", "-w", str(path), "Which of these two chords did you mean?"], check=True)
    said, rate = soundfile.read(path, dtype="float32")
    assert estimate_hum(said, sample_rate_hz=rate).midi is None
