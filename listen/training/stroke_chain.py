"""The recording chain of a whole part: colour, room, whatever else sounds, gain control, clipping, level.

Conventions: 16 kHz mono, shape (n,); every stage is drawn for itself and keeps the length, so that the truth stays.
"""

from __future__ import annotations

import numpy as np

from listen.audio import EAR_RATE_HZ
from listen.synthesis import apply_response, fast_length, room_tail
from listen.training.note_bank import NoteBank, Samples
from listen.training.stroke_bystanders import add_bystanders
from listen.training.stroke_performance import ScenePerformance

# every share, range and level of this file was judged, not measured
HIGH_PASS_SHARE, HIGH_PASS_HZ = 0.6, (40.0, 200.0)
TILT_DB, N_BUMPS, BUMP_DB = 1.5, 4, 4.0  # standard deviations: an octave's slope, each bump of the colour
LEAST_COLOUR_DB, MOST_COLOUR_DB = -40.0, 15.0
DULL_SHARE, DULL_HZ, DULL_DB_PER_KHZ = 0.2, (1500.0, 5000.0), 12.0
ROOM_SHARE, ROOM_S, ROOM_DB = 0.6, (0.1, 0.9), (-22.0, 0.0)
GAIN_SHARE, GAIN_S, GAIN_POWER = 0.25, (0.01, 0.4), (0.2, 0.6)
CLIPPED_SHARE, CLIPPED_AT = 0.1, (0.2, 0.7)  # of the peak
PEAK_DB = (-25.0, -1.0)


def pass_recording_chain(
    samples: Samples, rng: np.random.Generator, bank: NoteBank, played: ScenePerformance
) -> Samples:
    """Record a part.

    Parameters
    ----------
    samples : ndarray, shape (n,), 16 kHz mono
    rng : Generator
    bank : NoteBank
    played : ScenePerformance

    Returns
    -------
    ndarray of float32, shape (n,), within −1..1
    """
    sound = _add_room(_colour(samples, rng), rng)
    sound = add_bystanders(sound, rng, bank, played)
    if rng.random() < GAIN_SHARE:
        sound = _control_gain(sound, rng)
    if rng.random() < CLIPPED_SHARE:
        limit = float(np.abs(sound).max()) * rng.uniform(*CLIPPED_AT)
        sound = np.clip(sound, -limit, limit)
    return np.asarray(sound / np.abs(sound).max() * 10.0 ** (rng.uniform(*PEAK_DB) / 20.0), np.float32)


def _colour(samples: Samples, rng: np.random.Generator) -> Samples:
    """Send a part through an instrument and a microphone of their own colour."""
    from scipy import signal

    if rng.random() < HIGH_PASS_SHARE:
        b, a = signal.butter(1, rng.uniform(*HIGH_PASS_HZ), "high", fs=EAR_RATE_HZ)
        samples = signal.lfilter(b, a, samples)
    n_fft = fast_length(len(samples))
    hz = np.fft.rfftfreq(n_fft, 1.0 / EAR_RATE_HZ)
    octave = np.log2(np.maximum(hz, 30.0) / 500.0)
    colour_db = rng.normal(0.0, TILT_DB) * octave
    for _ in range(N_BUMPS):
        centre, width = rng.uniform(-3.0, 3.5), rng.uniform(0.15, 0.7)
        colour_db += rng.normal(0.0, BUMP_DB) * np.exp(-0.5 * ((octave - centre) / width) ** 2)
    if rng.random() < DULL_SHARE:
        colour_db -= DULL_DB_PER_KHZ * np.maximum(0.0, hz - rng.uniform(*DULL_HZ)) / 1000.0
    response = 10.0 ** (np.clip(colour_db, LEAST_COLOUR_DB, MOST_COLOUR_DB) / 20.0)
    return np.asarray(apply_response(samples, response, n_fft=n_fft), np.float32)


def _add_room(samples: Samples, rng: np.random.Generator) -> Samples:
    """Let the part ring in a room, or in none."""
    from scipy import signal

    if rng.random() >= ROOM_SHARE:
        return samples
    decay_s = rng.uniform(*ROOM_S)
    noise = rng.standard_normal(int(decay_s * EAR_RATE_HZ))
    tail = room_tail(noise, np.array([decay_s]), sample_rate_hz=EAR_RATE_HZ) * 10.0 ** (rng.uniform(*ROOM_DB) / 20.0)
    tail[0] += 1.0
    return np.asarray(signal.fftconvolve(samples, tail)[: len(samples)], np.float32)


def _control_gain(samples: Samples, rng: np.random.Generator) -> Samples:
    """Even out loudness, as a phone does: what is quiet is turned up."""
    from scipy import signal

    keep = float(np.exp(-1.0 / (rng.uniform(*GAIN_S) * EAR_RATE_HZ)))
    level = np.sqrt(signal.lfilter([1.0 - keep], [1.0, -keep], samples.astype(np.float64) ** 2) + 1e-9)
    return np.asarray(samples * (level / level.max()) ** -rng.uniform(*GAIN_POWER), np.float32)
