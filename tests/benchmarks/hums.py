"""Hummed basses: voices that are drawn, and vowels of ``espeak-ng`` (Debian) brought to a note.

A hum lies up to 30 cents beside the bass of a question, in any octave of a voice, with vibrato, drift and noise. The
pitch of a spoken vowel is measured by its autocorrelation, which is not what the program hears hums by.
"""

from __future__ import annotations

import io
import shutil
import subprocess
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from listen.audio import estimate_hum
from listen.practice import draw_question, judge_hum

Samples = NDArray[np.float32]
RATE_HZ = 16_000
LOWEST_MIDI, HIGHEST_MIDI = 41, 69  # from a bass's F2 to a child's A4
MOST_OFF_CENTS = 30.0
VOWELS = ("a:", "o:", "u:", "i:", "m")
VOICES = ("en-gb", "en-gb+m3", "en-gb+f2", "de", "it")
SENTENCES = (
    "Which of these two chords did you mean?",
    "The kettle boils while it rains on the roof.",
    "I will play it again, a little slower this time.",
    "No, that was the third one.",
    "Put your second finger on the fourth string.",
    "Well, yes, all right then.",
)


def draw_voice(midi: float, rng: np.random.Generator) -> Samples:
    """Draw a voice: a buzz with vibrato and drift through a vowel's formants, and noise 12 to 40 dB under it."""
    time_s = np.arange(int(rng.uniform(0.8, 2.0) * RATE_HZ)) / RATE_HZ
    vibrato = rng.uniform(0.0, 0.3) * np.sin(2 * np.pi * rng.uniform(4.5, 6.5) * time_s + rng.uniform(0, 6.28))
    drift = rng.normal(0.0, 0.1) * (time_s / time_s[-1] - 0.5)
    hz = 440.0 * 2.0 ** ((midi - 69.0 + vibrato + drift) / 12.0)
    phase = 2 * np.pi * np.cumsum(hz) / RATE_HZ
    formants = rng.uniform((250.0, 700.0, 2200.0), (800.0, 1800.0, 3000.0))
    voice = np.zeros(len(time_s))
    for harmonic in range(1, 25):
        partial_hz = harmonic * hz
        gain = sum(1.0 / (1.0 + ((partial_hz - formant) / (80.0 + 0.1 * formant)) ** 2) for formant in formants)
        voice += np.where(partial_hz < 0.45 * RATE_HZ, (0.05 + gain) / harmonic, 0.0) * np.sin(harmonic * phase)
    voice *= np.minimum(1.0, np.minimum(time_s, time_s[::-1]) / 0.08)
    return _with_noise(voice, rng)


def speak_vowel(midi: float, rng: np.random.Generator) -> Samples:
    """Have a vowel spoken, and bring it to a note as a singer would: played faster where its pitch falls."""
    voice, vowel = str(rng.choice(VOICES)), str(rng.choice(VOWELS))
    command = ["espeak-ng", "-v", voice, "-m", "-s", "80", "--stdout"]
    words = f'<prosody range="0">[[{10 * vowel}]]</prosody>'
    samples, rate_hz = _speak([*command, words])
    loud = np.flatnonzero(np.abs(samples) > 0.2 * np.abs(samples).max())
    samples = samples[loud[0] : loud[-1]]
    frame, hop = int(0.05 * rate_hz), int(0.01 * rate_hz)
    starts = np.arange(0, len(samples) - frame, hop)
    hz = np.array([_measure_hz(samples[start : start + frame], rate_hz) for start in starts])
    hz = median_filter(np.where(np.isnan(hz), np.nanmedian(hz), hz), 9)
    speed = np.interp(np.arange(len(samples)), starts + frame / 2, hz) / (440.0 * 2.0 ** ((midi - 69.0) / 12.0))
    sung_s = np.cumsum(speed) / rate_hz
    return _with_noise(np.interp(np.arange(0.0, sung_s[-1], 1.0 / RATE_HZ), sung_s, samples), rng)


def _speak(command: list[str]) -> tuple[NDArray[np.float64], int]:
    """Return what a command of espeak-ng says, and its rate."""
    import soundfile

    spoken = subprocess.run(command, check=True, capture_output=True).stdout
    samples, rate_hz = soundfile.read(io.BytesIO(spoken), dtype="float64")
    return samples, rate_hz


def _measure_hz(samples: NDArray[np.float64], rate_hz: float) -> float:
    """Return the pitch of a voice: the first high peak of its autocorrelation; NaN where there is none."""
    spectrum = np.abs(np.fft.rfft(samples, 2 * len(samples))) ** 2
    alike = np.fft.irfft(spectrum)[: len(samples) // 2]
    alike /= np.arange(len(samples), len(samples) - len(alike), -1)  # as many products at every lag
    first, last = int(rate_hz / 400.0), int(rate_hz / 60.0)
    peaks = [
        lag for lag in range(first, last)
        if alike[lag] > alike[lag - 1] and alike[lag] >= alike[lag + 1] and alike[lag] > 0.8 * alike[first:last].max()
    ]  # fmt: skip
    if not peaks:
        return float("nan")
    lag = peaks[0]
    before, at, after = alike[lag - 1 : lag + 2]
    return float(rate_hz / (lag + 0.5 * (before - after) / (before - 2 * at + after)))


def _with_noise(voice: NDArray[np.float64], rng: np.random.Generator) -> Samples:
    power = float(np.sqrt(np.mean(voice**2)))
    noise = rng.standard_normal(len(voice)) * power * 10.0 ** (-rng.uniform(12.0, 40.0) / 20.0)
    heard = voice + noise
    return np.asarray(0.3 * heard / np.abs(heard).max(), np.float32)


def score_hums(n: int, seed: int = 1) -> Iterator[str]:
    """Yield how many hums of a question's bass were taken as right, by kind of voice; then, of speech, as a hum."""
    voices: dict[str, Callable[[float, np.random.Generator], Samples]] = {"drawn voices": draw_voice}
    if shutil.which("espeak-ng"):
        voices["vowels of espeak-ng"] = speak_vowel
    for title, make in voices.items():
        rng = np.random.default_rng(seed)
        right = unheard = 0
        for number in range(n):
            question = draw_question("which bass", level=5.0, seed=seed * 10_000 + number)
            bass = question.sounds[-1].chord.sounding_bass.pitch_class
            octaves = [midi for midi in range(LOWEST_MIDI, HIGHEST_MIDI + 1) if midi % 12 == bass]
            midi = float(rng.choice(octaves)) + rng.uniform(-MOST_OFF_CENTS, MOST_OFF_CENTS) / 100.0
            heard = estimate_hum(make(midi, rng), sample_rate_hz=RATE_HZ).midi
            unheard += heard is None
            right += heard is not None and judge_hum(question, heard).is_right
        yield f"hummed bass, {title}: {right / n:.3f} right of {n}, {unheard} not heard (asked for: .97)"
    if shutil.which("espeak-ng"):
        spoken = [_speak(["espeak-ng", "-v", voice, "--stdout", said]) for voice in VOICES for said in SENTENCES]
        notes = [estimate_hum(said.astype(np.float32), sample_rate_hz=rate).midi for said, rate in spoken]
        yield f"spoken sentences taken for a hum: {sum(note is not None for note in notes)} of {len(notes)}"
