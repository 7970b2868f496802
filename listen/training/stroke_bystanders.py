"""What else sounds where a part is played: speech, singing along, drums, mains hum, rumble, hiss.

A drawn voice is a glottal pulse train through the formants of a vowel, with consonants of noise; recorded speech and
drums are taken from the bank where it has them.

References
----------
Fant, "Acoustic Theory of Speech Production", 1960 (source and formants; the ranges below are those of its vowel
charts, from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from listen.audio import EAR_RATE_HZ
from listen.synthesis import apply_response, fast_length
from listen.training.note_bank import NoteBank, Samples, resample_by
from listen.training.stroke_performance import ScenePerformance

Array = NDArray[np.float64]

# every share, range and level of this file was judged, not measured
SPEECH_SHARE, SINGING_SHARE, DRUMS_SHARE, HUM_SHARE, RUMBLE_SHARE = 0.14, 0.2, 0.08, 0.25, 0.25
SPEECH_DB, SINGING_DB, DRUMS_DB = (-20.0, -4.0), (-12.0, 1.0), (-18.0, -3.0)
HUM_DB, RUMBLE_DB, HISS_DB = (-40.0, -14.0), (-34.0, -10.0), (-70.0, -24.0)
"""Against the part itself, root mean square."""
FORMANTS_HZ = (
    (730.0, 1090.0, 2440.0),
    (530.0, 1840.0, 2480.0),
    (300.0, 870.0, 2240.0),
    (270.0, 2290.0, 3010.0),
    (570.0, 840.0, 2410.0),
)
N_VOICE_HARMONICS, HIGHEST_HARMONIC_HZ = 29, 7500.0
VIBRATO_HZ = 5.5
LOWEST_SUNG_MIDI = 52
SPOKEN_MIDI = (42.0, 58.0)
CONSONANT_S = 0.06
N_KIT = 4  # of the bank's drums in one scene


def add_bystanders(samples: Samples, rng: np.random.Generator, bank: NoteBank, played: ScenePerformance) -> Samples:
    """Mix to a part what else sounds, each by its share of scenes.

    Parameters
    ----------
    samples : ndarray, shape (n,), 16 kHz mono
    rng : Generator
    bank : NoteBank
    played : ScenePerformance
        What singers and drummers keep to.

    Returns
    -------
    ndarray of float32, shape (n,)
    """
    n = len(samples)
    loudness = float(np.sqrt(np.mean(samples**2))) + 1e-6
    mixed = samples.astype(np.float64)

    def mix(sound: Array, level_db: tuple[float, float]) -> None:
        gain = loudness * 10.0 ** (rng.uniform(*level_db) / 20.0)
        mixed[:] += sound * (gain / (np.sqrt(np.mean(sound**2)) + 1e-9))

    voice = rng.random()
    if voice < SPEECH_SHARE:
        mix(_play_speech(rng, bank.speech, n) if bank.speech else draw_speech(rng, n), SPEECH_DB)
    elif voice < SPEECH_SHARE + SINGING_SHARE:
        mix(draw_singing(rng, n, sorted({round(note.midi) for note in played.notes})), SINGING_DB)
    if bank.drums and rng.random() < DRUMS_SHARE:
        mix(_play_drums(rng, bank.drums, n, played), DRUMS_DB)
    if rng.random() < HUM_SHARE:
        mix(_draw_mains(rng, n), HUM_DB)
    if rng.random() < RUMBLE_SHARE:
        mix(_draw_rumble(rng, n), RUMBLE_DB)
    mix(rng.standard_normal(n), HISS_DB)
    return mixed.astype(np.float32)


def draw_singing(rng: np.random.Generator, n_samples: int, midis: Sequence[int]) -> Array:
    """Draw somebody singing, mostly on tones of what is played.

    Parameters
    ----------
    rng : Generator
    n_samples : int
    midis : sequence of int
        Pitches that are played.
    """
    tones = list(midis) or [60]

    def draw_syllable() -> tuple[float, Array, float]:
        length_s = rng.uniform(0.15, 1.2)
        time_s = np.arange(int(length_s * EAR_RATE_HZ)) / EAR_RATE_HZ
        if rng.random() < 0.8:
            above = (tones[int(rng.integers(len(tones)))] - LOWEST_SUNG_MIDI) % 12
            midi = float(LOWEST_SUNG_MIDI + above + (12 if rng.random() < 1 / 3 else 0))
        else:
            midi = rng.uniform(48.0, 70.0)
        vibrato = 0.3 * rng.uniform() * np.sin(2.0 * np.pi * VIBRATO_HZ * time_s)
        scoop = rng.uniform(-1.0, 0.0) * np.exp(-time_s / 0.05)
        sound = _voice_syllable(rng, midi + rng.normal(0.0, 0.15) + vibrato + scoop, consonant_share=0.4)
        rest_s = rng.uniform(0.05, 0.8) if rng.random() < 0.4 else 0.0
        return length_s, sound, rest_s

    return _string_together(rng, n_samples, draw_syllable)


def draw_speech(rng: np.random.Generator, n_samples: int) -> Array:
    """Draw somebody speaking: short syllables of falling pitch, many consonants, a rest after each phrase."""
    base = rng.uniform(*SPOKEN_MIDI)

    def draw_syllable() -> tuple[float, Array, float]:
        length_s = rng.uniform(0.07, 0.28)
        time_s = np.arange(int(length_s * EAR_RATE_HZ)) / EAR_RATE_HZ
        glide = base + rng.normal(0.0, 2.0) + rng.uniform(-20.0, 8.0) * time_s
        sound = _voice_syllable(rng, glide, consonant_share=0.7)
        rest_s = rng.uniform(0.3, 3.0) if rng.random() < 0.08 else rng.uniform(0.0, 0.08)
        return length_s, sound, rest_s

    return _string_together(rng, n_samples, draw_syllable)


def _string_together(
    rng: np.random.Generator, n_samples: int, draw_syllable: Callable[[], tuple[float, Array, float]]
) -> Array:
    """Lay syllables one after another, from some time in the first two seconds on."""
    voice = np.zeros(n_samples)
    at_s = rng.uniform(0.0, 2.0)
    while at_s < n_samples / EAR_RATE_HZ - 0.5:
        length_s, sound, rest_s = draw_syllable()
        first = int(at_s * EAR_RATE_HZ)
        voice[first : first + len(sound)] += sound[: n_samples - first]
        at_s += length_s + rest_s
    return voice


def _voice_syllable(rng: np.random.Generator, midi: Array, *, consonant_share: float) -> Array:
    """Sing a vowel along a curve of pitch, sometimes after a consonant."""
    f0_hz = 440.0 * 2.0 ** ((midi - 69.0) / 12.0)
    mean_hz, turn = float(f0_hz.mean()), 2.0 * np.pi * np.cumsum(f0_hz) / EAR_RATE_HZ
    formants = FORMANTS_HZ[int(rng.integers(len(FORMANTS_HZ)))]
    sound = np.zeros(len(midi))
    for k in range(1, min(N_VOICE_HARMONICS, int(HIGHEST_HARMONIC_HZ / mean_hz)) + 1):
        gain = sum(1.0 / (1.0 + ((k * mean_hz - hz) / (80.0 + 0.06 * hz)) ** 2) for hz in formants)
        sound += gain / k**0.5 * np.sin(k * turn)
    time_s = np.arange(len(midi)) / EAR_RATE_HZ
    sound *= np.minimum(1.0, np.minimum(time_s, time_s[::-1]) / rng.uniform(0.01, 0.05))
    sound *= 10.0 ** (rng.uniform(-6.0, 0.0) / 20.0)
    if rng.random() < consonant_share:
        n_consonant = min(len(sound), int(CONSONANT_S * EAR_RATE_HZ))
        sound[:n_consonant] += rng.normal(0.0, 0.15 * float(np.abs(sound).max()), n_consonant)
    return sound


def _play_speech(rng: np.random.Generator, speech: Sequence[Samples], n_samples: int) -> Array:
    """Play recorded speech, a little faster or slower, again and again with a rest between."""
    spoken = np.concatenate([speech[int(index)] for index in rng.permutation(len(speech))])
    rest = np.zeros(int(rng.uniform(0.3, 3.0) * EAR_RATE_HZ), np.float32)
    said = np.concatenate([resample_by(spoken, rng.uniform(0.85, 1.15)), rest])
    first = min(n_samples, int(rng.uniform(0.0, 5.0) * EAR_RATE_HZ))
    sound = np.zeros(n_samples)
    sound[first:] = np.resize(said, n_samples - first)
    return sound


def _play_drums(rng: np.random.Generator, drums: Sequence[Samples], n_samples: int, played: ScenePerformance) -> Array:
    """Play a few drums on the beat and half way between, in time with the part."""
    kit = [drums[int(index)] for index in rng.permutation(len(drums))[:N_KIT]]
    sound = np.zeros(n_samples)
    half_s = 0.5 * played.beat_s
    at_s = played.strokes[0].onset_s % played.beat_s if played.strokes else 0.0
    while at_s < n_samples / EAR_RATE_HZ:
        first = int((at_s + rng.normal(0.0, 0.008)) * EAR_RATE_HZ)
        if rng.random() < 0.6 and 0 <= first < n_samples:
            stroke = kit[int(rng.integers(len(kit)))]
            sound[first : first + len(stroke)] += stroke[: n_samples - first]
        at_s += half_s
    return sound


def _draw_mains(rng: np.random.Generator, n_samples: int) -> Array:
    """Draw the mains, with harmonics."""
    turn = 2.0 * np.pi * (50.0 if rng.random() < 0.5 else 60.0) * np.arange(n_samples) / EAR_RATE_HZ
    hum = np.zeros(n_samples)
    for k in (1, 2, 3, 4, 6, 8):
        hum += np.sin(k * turn + rng.uniform(0.0, 6.28)) / k
    return hum


def _draw_rumble(rng: np.random.Generator, n_samples: int) -> Array:
    """Draw traffic or a fan: low noise that comes and goes."""
    n_fft = fast_length(n_samples)
    hz = np.fft.rfftfreq(n_fft, 1.0 / EAR_RATE_HZ)
    low = 1.0 / (1.0 + (hz / rng.uniform(80.0, 300.0)) ** 2)
    noise = apply_response(rng.standard_normal(n_samples), low, n_fft=n_fft)
    time_s = np.arange(n_samples) / EAR_RATE_HZ
    comes = 1.0 + 0.8 * np.sin(2.0 * np.pi * rng.uniform(0.05, 0.3) * time_s)
    return np.asarray(noise * comes)
