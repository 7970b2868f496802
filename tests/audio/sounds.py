"""Sounds for the tests of this room, made of sines and noise, and files made of them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]


def make_plucked(
    midis: tuple[float, ...],
    *,
    sample_rate_hz: int = 22050,
    duration_s: float = 2.0,
    lead_s: float = 0.3,
    stiffness: float = 6e-5,
    spread_s: float = 0.01,
    seed: int = 1,
) -> Samples:
    """Pluck notes one after another: stiff strings whose partials die away, the higher the sooner."""
    rng = np.random.default_rng(seed)
    row, rows = np.arange(256), np.arange(0, round(duration_s * sample_rate_hz), 256)
    total = rng.standard_normal(round(duration_s * sample_rate_hz)) * 1e-5
    for index, midi in enumerate(midis):
        start = round((lead_s + index * spread_s) * sample_rate_hz)
        f0_hz = 440.0 * 2.0 ** ((midi - 69.0) / 12.0)
        for k in range(1, 30):
            hz = k * f0_hz * np.sqrt(1.0 + stiffness * k * k)
            if hz < 0.45 * min(sample_rate_hz, 16000):
                level = k**-1.0 * abs(np.sin(np.pi * k * 0.17))
                turn = complex(-(1.5 + hz / 900.0), 2 * np.pi * hz) / sample_rate_hz
                first = level * np.exp(1j * rng.uniform(0.0, 6.28))
                partial = np.outer(first * np.exp(turn * rows), np.exp(turn * row))  # e^(a+b) = e^a e^b
                total[start:] += partial.imag.ravel()[: len(total) - start]
    return np.asarray(0.5 * total / np.abs(total).max(), np.float32)


def write_with_av(
    path: Path,
    samples: Samples,
    *,
    sample_rate_hz: int,
    container: str,
    codec: str,
    bit_rate: int = 96_000,
    index_first: bool = False,
) -> None:
    """Encode samples, shape (n,) or (n, channels), with FFmpeg; an M4A may have its index before its sound."""
    import av

    planes = np.ascontiguousarray(np.atleast_2d(samples.T))
    layout = {1: "mono", 2: "stereo"}[len(planes)]
    with av.open(str(path), "w", format=container, options={"movflags": "faststart"} if index_first else {}) as file:
        stream = file.add_stream(codec, rate=sample_rate_hz, layout=layout)
        assert isinstance(stream, av.AudioStream)
        stream.bit_rate = bit_rate
        frame = av.AudioFrame.from_ndarray(planes, format="fltp", layout=layout)
        frame.sample_rate = sample_rate_hz
        resampler = av.AudioResampler(
            format=stream.format.name, layout=layout, rate=sample_rate_hz, frame_size=stream.frame_size or 0
        )
        for piece in [*resampler.resample(frame), *resampler.resample(None), None]:
            file.mux([packet for packet in stream.encode(piece) if packet.size])


def hush_length(path: Path) -> None:
    """Take the length out of a WebM's header, as a browser's recorder writes none (RFC 9559, 5.1.2.10; RFC 8794, Void).

    The element Duration (44 89, 8 bytes of content) becomes an element Void (EC) of the same size.
    """
    data = path.read_bytes()
    at = data.index(b"\x44\x89\x88")
    path.write_bytes(data[:at] + b"\xec\x89" + bytes(9) + data[at + 11 :])
