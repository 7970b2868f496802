"""What happens to a strum between the guitar and the file: rooms, amplifiers, codecs, voices.

Conventions: mono float32 at :data:`~tests.benchmarks.cases.RATE_HZ` in and out, the same length.
"""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np

from tests.benchmarks.cases import LEAD_S, RATE_HZ, Samples

Condition = Callable[[Samples, np.random.Generator], Samples]


def _peak(samples: Samples, peak: float = 0.5) -> Samples:
    return np.asarray(samples * (peak / max(float(np.abs(samples).max()), 1e-6)), np.float32)


def _level(samples: Samples) -> float:
    """Root mean square over the second after the lead-in."""
    start = int(LEAD_S * RATE_HZ)
    return float(np.sqrt(np.mean(samples[start : start + RATE_HZ] ** 2)))


def _filter(samples: Samples, gain_of: Callable[[Samples], Samples]) -> Samples:
    n_padded = 2 ** int(np.ceil(np.log2(len(samples) + RATE_HZ // 4)))
    spectrum = np.fft.rfft(samples, n_padded)
    frequencies = np.fft.rfftfreq(n_padded, 1.0 / RATE_HZ).astype(np.float32)
    return np.fft.irfft(spectrum * gain_of(frequencies), n_padded)[: len(samples)].astype(np.float32)


def band_limit(samples: Samples, *, low_hz: float, high_hz: float) -> Samples:
    """Cut below and above, 24 dB an octave."""

    def gain(frequencies: Samples) -> Samples:
        high_pass = (frequencies / low_hz) ** 4 / (1.0 + (frequencies / low_hz) ** 4)
        return np.asarray(high_pass / (1.0 + (frequencies / high_hz) ** 4), np.float32)

    return _filter(samples, gain)


def in_a_noisy_room(samples: Samples, random: np.random.Generator) -> Samples:
    """Add a room of 0.2 to 0.8 s, noise 20 dB down (white to pink), and a small microphone's band."""
    decay_s = random.uniform(0.2, 0.8)
    n_tail = int(decay_s * RATE_HZ)
    tail = random.standard_normal(n_tail) * 10.0 ** (-3.0 * np.arange(n_tail) / n_tail)
    tail *= 10.0 ** (random.uniform(-14.0, -4.0) / 20.0) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    n_padded = 2 ** int(np.ceil(np.log2(len(samples) + n_tail)))
    wet = np.fft.irfft(np.fft.rfft(samples, n_padded) * np.fft.rfft(tail, n_padded), n_padded)[: len(samples)]
    frequencies = np.fft.rfftfreq(len(samples), 1.0 / RATE_HZ)
    colour = np.maximum(frequencies, 40.0) ** -random.uniform(0.0, 0.5)
    noise = np.fft.irfft(np.fft.rfft(random.standard_normal(len(samples))) * colour, len(samples))
    noise *= _level(wet.astype(np.float32)) * 10.0 ** (-20.0 / 20.0) / np.sqrt(np.mean(noise**2))
    noisy = (wet + noise).astype(np.float32)
    return _peak(band_limit(noisy, low_hz=random.uniform(70.0, 160.0), high_hz=random.uniform(4000.0, 7500.0)))


def _oversampled(samples: Samples, shape: Callable[[Samples], Samples]) -> Samples:
    import soxr

    raised = soxr.resample(samples, RATE_HZ, 4 * RATE_HZ)
    return np.asarray(soxr.resample(shape(raised), 4 * RATE_HZ, RATE_HZ)[: len(samples)], np.float32)


def _cabinet(samples: Samples, random: np.random.Generator) -> Samples:
    corner, bump = random.uniform(3500.0, 5500.0), random.uniform(1800.0, 3000.0)

    def gain(frequencies: Samples) -> Samples:
        low = (frequencies / 80.0) ** 2 / (1.0 + (frequencies / 80.0) ** 2)
        peak = 1.0 + 0.8 * np.exp(-0.5 * (np.log2(np.maximum(frequencies, 1.0) / bump) / 0.4) ** 2)
        return np.asarray(low * peak / (1.0 + (frequencies / corner) ** 6), np.float32)

    return _filter(samples, gain)


def soft_overdrive(samples: Samples, random: np.random.Generator) -> Samples:
    """Drive a rounded, slightly lopsided stage into a cabinet."""
    drive, bias = np.exp(random.uniform(np.log(6.0), np.log(40.0))), random.uniform(-0.15, 0.15)
    driven = _oversampled(_peak(samples, 1.0), lambda raised: np.tanh(drive * (raised + bias)) - np.tanh(drive * bias))
    return _peak(_cabinet(driven, random))


def hard_clip(samples: Samples, random: np.random.Generator) -> Samples:
    """Clip flat at a sixth to a fortieth of the peak, into a cabinet."""
    gain = np.exp(random.uniform(np.log(6.0), np.log(40.0)))
    driven = _oversampled(_peak(samples, 1.0), lambda raised: np.clip(gain * raised, -1.0, 1.0))
    return _peak(_cabinet(driven, random))


def as_a_phone_hears(samples: Samples, _random: np.random.Generator) -> Samples:
    """Keep 180 to 5,500 Hz."""
    return _peak(band_limit(samples, low_hz=180.0, high_hz=5500.0))


def off_pitch(samples: Samples, random: np.random.Generator) -> Samples:
    """Put the whole recording out of tune by 10 to 40 cents either way."""
    import soxr

    cents = random.uniform(10.0, 40.0) * (1 if random.random() < 0.5 else -1)
    return np.asarray(soxr.resample(samples, RATE_HZ * 2.0 ** (cents / 1200.0), RATE_HZ), np.float32)


def through_codec(samples: Samples, codec: str, container: str, bit_rate: int) -> Samples:
    """Encode and decode with PyAV.

    Parameters
    ----------
    samples : ndarray
    codec, container : str
        FFmpeg's names.
    bit_rate : int
        Bits a second.
    """
    import av
    import soxr

    rate = 48000 if codec == "libopus" else 44100
    raised = np.clip(soxr.resample(samples, RATE_HZ, rate), -1.0, 1.0)
    buffer = io.BytesIO()
    with av.open(buffer, "w", format=container) as output:
        stream = output.add_stream(codec, rate=rate, layout="mono")
        assert isinstance(stream, av.AudioStream)
        stream.bit_rate = bit_rate
        fifo = av.AudioFifo()
        frame = av.AudioFrame.from_ndarray((raised[None] * 32767).astype(np.int16), format="s16", layout="mono")
        frame.sample_rate = rate
        fifo.write(frame)
        resampler = av.AudioResampler(format=stream.format, layout="mono", rate=rate)
        while (piece := fifo.read(stream.frame_size or 960, partial=True)) is not None:
            for converted in resampler.resample(piece):
                output.mux(stream.encode(converted))
        output.mux(stream.encode(None))
    buffer.seek(0)
    with av.open(buffer, "r") as source:
        to_float = av.AudioResampler(format="flt", layout="mono", rate=rate)
        pieces = [out.to_ndarray()[0] for read in source.decode(audio=0) for out in to_float.resample(read)]
    return np.asarray(soxr.resample(np.concatenate(pieces), rate, RATE_HZ), np.float32)


def through_a_phone_codec(samples: Samples, random: np.random.Generator) -> Samples:
    """Pass one of the codecs that phones write: AAC 48 kbit/s, Opus 24 kbit/s, MP3 64 kbit/s."""
    codecs = (("aac", "adts", 48000), ("libopus", "ogg", 24000), ("libmp3lame", "mp3", 64000))
    return through_codec(samples, *codecs[random.integers(len(codecs))])


# Formants of five sung vowels, Hz (Peterson & Barney 1952, men's averages, rounded; from memory).
_VOWELS = ((730, 1090, 2440), (530, 1840, 2480), (270, 2290, 3010), (570, 840, 2410), (300, 870, 2240))


def sing(n_samples: int, random: np.random.Generator) -> Samples:
    """Sing: a harmonic source that glides between held notes, with vibrato, through vowels' formants."""
    n_notes = int(random.integers(2, 5))
    middle = random.uniform(48.0, 66.0)
    targets = middle + np.cumsum(random.normal(0.0, 2.5, n_notes))
    places = np.linspace(0, n_samples, n_notes + 1)[:-1]
    time_s = np.arange(n_samples) / RATE_HZ
    pitch = np.interp(np.arange(n_samples), places, targets)
    pitch += random.uniform(0.1, 0.5) * np.sin(2 * np.pi * random.uniform(4.5, 6.5) * time_s)
    frequency = 440.0 * 2.0 ** ((pitch - 69.0) / 12.0)
    phase = 2 * np.pi * np.cumsum(frequency) / RATE_HZ
    formants = _VOWELS[random.integers(len(_VOWELS))]
    voice = np.zeros(n_samples)
    for harmonic in range(1, 31):
        partial_hz = harmonic * frequency
        gain = sum(1.0 / (1.0 + ((partial_hz - formant) / (60.0 + 0.08 * formant)) ** 2) for formant in formants)
        voice += np.where(partial_hz < RATE_HZ / 2.2, gain * harmonic**-0.7, 0.0) * np.sin(harmonic * phase)
    swell = 0.6 + 0.4 * np.sin(2 * np.pi * time_s * random.uniform(0.3, 1.2) + random.uniform(0, 6.28)) ** 2
    return _peak((voice * swell).astype(np.float32))


def under_a_singer(samples: Samples, random: np.random.Generator) -> Samples:
    """Sing over the strum, the voice 6 dB under it."""
    voice = sing(len(samples), random)
    return _peak(samples + voice * np.float32(_level(samples) / _level(voice) * 10.0 ** (-6.0 / 20.0)))
