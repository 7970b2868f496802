"""What else a phone hears while somebody plays: a room at two metres, a fridge, traffic, somebody talking, the player's
own voice.

Conventions: mono float32 in and out at :data:`RATE_HZ`, the same length; levels against the guitar's root mean square.
The voices are drawn, not recorded: a buzz through formants, sung on tones of the scene's chords, or spoken by Debian's
``espeak-ng`` where it is installed.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.part_scenes import Scene
from tests.benchmarks.part_sound import RATE_HZ

Samples = NDArray[np.float32]
Surrounding = Callable[[Samples, Scene, np.random.Generator], Samples]
SPOKEN = "So we go back to the top, then the second part twice, and the last line a little slower than before."
VOWELS_HZ = ((730.0, 1090.0, 2440.0), (530.0, 1840.0, 2480.0), (300.0, 870.0, 2240.0))  # Peterson and Barney 1952


def _level(samples: Samples) -> float:
    return float(np.sqrt(np.mean(samples.astype(np.float64) ** 2))) + 1e-9


def _mix(samples: Samples, other: NDArray[np.float64], against_db: float) -> Samples:
    scaled = other[: len(samples)] * (_level(samples) * 10.0 ** (against_db / 20.0) / _level(other.astype(np.float32)))
    mixed = samples.copy()
    mixed[: len(scaled)] += scaled.astype(np.float32)
    return mixed


def two_metres_away(samples: Samples, _scene: Scene, rng: np.random.Generator) -> Samples:
    """Put the phone across a living room: an echo tail of half a second, its own noise, a small microphone's band."""
    tail = rng.standard_normal(int(0.5 * RATE_HZ)) * 10.0 ** (-3.0 * np.arange(int(0.5 * RATE_HZ)) / (0.5 * RATE_HZ))
    tail *= 10.0 ** (-3.0 / 20.0) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    n = 2 ** int(np.ceil(np.log2(len(samples) + len(tail))))
    spectrum = np.fft.rfft(samples, n) * np.fft.rfft(tail, n)
    hz = np.fft.rfftfreq(n, 1.0 / RATE_HZ)
    spectrum *= (hz / 110.0) ** 2 / (1.0 + (hz / 110.0) ** 2) / (1.0 + (hz / 7000.0) ** 4)
    wet = np.fft.irfft(spectrum, n)[: len(samples)].astype(np.float32)
    return _mix(wet, rng.standard_normal(len(samples)), -32.0)


def by_the_fridge(samples: Samples, _scene: Scene, rng: np.random.Generator) -> Samples:
    """Add the hum of a motor: 50 Hz and its harmonics, 18 dB down."""
    at_s = np.arange(len(samples)) / RATE_HZ
    hum = sum(np.sin(2 * np.pi * 50.0 * k * at_s + rng.uniform(0, 6)) / k for k in (1, 2, 3, 4, 6, 8))
    return _mix(samples, np.asarray(hum), -18.0)


def by_the_road(samples: Samples, _scene: Scene, rng: np.random.Generator) -> Samples:
    """Add traffic: low rumble that swells and goes, 12 dB down."""
    n = len(samples)
    hz = np.fft.rfftfreq(n, 1.0 / RATE_HZ)
    rumble = np.fft.irfft(np.fft.rfft(rng.standard_normal(n)) / (1.0 + (hz / 150.0) ** 2), n)
    swell = 1.0 + 0.8 * np.sin(2 * np.pi * 0.15 * np.arange(n) / RATE_HZ + rng.uniform(0, 6))
    return _mix(samples, rumble * swell, -12.0)


def _speak(n_samples: int) -> NDArray[np.float64] | None:
    import soundfile
    import soxr

    if shutil.which("espeak-ng") is None:
        return None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        subprocess.run(["espeak-ng", "-w", str(path), SPOKEN], check=True, capture_output=True)
        said, rate = soundfile.read(path, dtype="float64")
    said = soxr.resample(said, rate, RATE_HZ)
    return np.resize(np.concatenate([said, np.zeros(RATE_HZ)]), n_samples)


def while_somebody_talks(samples: Samples, scene: Scene, rng: np.random.Generator) -> Samples:
    """Add speech, 10 dB down; a sung voice where no speech can be made."""
    said = _speak(len(samples))
    return _mix(samples, said, -10.0) if said is not None else sung_over(samples, scene, rng, against_db=-10.0)


def sung_over(samples: Samples, scene: Scene, rng: np.random.Generator, *, against_db: float = -6.0) -> Samples:
    """Add the player's voice on tones of the chords: a buzz with vibrato through three formants."""
    voice = np.zeros(len(samples))
    for chord in scene.chords:
        tones = sorted({note.midi for note in scene.notes if chord.start_s <= note.onset_s < chord.end_s})
        if not tones:
            continue
        at_s = chord.start_s
        while at_s < chord.end_s - 0.2:
            lasts_s = float(rng.uniform(0.3, 0.9))
            midi = 52 + (int(rng.choice(tones)) - 52) % 12 + float(rng.choice([0, 0, 12]))
            _sing(voice, at_s, min(lasts_s, chord.end_s - at_s), midi, rng)
            at_s += lasts_s + (0.2 if rng.random() < 0.3 else 0.0)
    return _mix(samples, voice, against_db)


def _sing(voice: NDArray[np.float64], at_s: float, lasts_s: float, midi: float, rng: np.random.Generator) -> None:
    start, n = int(at_s * RATE_HZ), int(lasts_s * RATE_HZ)
    n = min(n, len(voice) - start)
    if n <= 0:
        return
    time_s = np.arange(n) / RATE_HZ
    hz = 440.0 * 2.0 ** ((midi - 69 + 0.3 * np.sin(2 * np.pi * 5.5 * time_s) + rng.normal(0, 0.15)) / 12.0)
    phase = 2 * np.pi * np.cumsum(hz) / RATE_HZ
    formants = VOWELS_HZ[int(rng.integers(len(VOWELS_HZ)))]
    sound = np.zeros(n)
    for k in range(1, 30):
        middle_hz = k * float(hz.mean())
        gain = sum(1.0 / (1.0 + ((middle_hz - f) / (80.0 + 0.06 * f)) ** 2) for f in formants) / k**0.5
        sound += gain * np.sin(k * phase)
    sound *= np.minimum(1.0, np.minimum(time_s, time_s[::-1]) / 0.04)
    voice[start : start + n] += sound


SURROUNDINGS: dict[str, Surrounding] = {
    "close": lambda samples, _scene, _rng: samples,
    "two metres": two_metres_away,
    "fridge": by_the_fridge,
    "road": by_the_road,
    "talk": while_somebody_talks,
    "song 6 dB under": sung_over,
    "song as loud": lambda samples, scene, rng: sung_over(samples, scene, rng, against_db=0.0),
}
