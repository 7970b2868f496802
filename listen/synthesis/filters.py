"""What a vibrating string passes through: wooden body, pickup, loudspeaker cabinet, room.

Frequency responses on the array API (numpy or torch); the last axis counts frequencies, leading axes are a batch.

References
----------
Christensen, Vistisen, "Simple model for low-frequency guitar function", JASA 68(3), 1980 (air and top-plate
resonances near 100 and 200 Hz). Jungmann 1994 (a pickup coil with its cable is a resonant low-pass of second order at
2–5 kHz). Moorer, "About this reverberation business", Computer Music Journal 3(2), 1979 (decaying noise as a room).
"""

from __future__ import annotations

import math
from typing import Any

from array_api_compat import array_namespace

Array = Any


def resonance_response(frequency_hz: Array, mode_hz: Array, quality: Array, gain: Array) -> Array:
    """Return the sum of resonances of second order, Σ g·(jx/Q)/(1 − x² + jx/Q) with x = f/f_mode.

    Parameters
    ----------
    frequency_hz : Array, shape (n,)
    mode_hz, quality, gain : Array, shape (..., n_modes)

    Returns
    -------
    Array, complex, shape (..., n)
    """
    xp = array_namespace(frequency_hz)
    total: Array = 0.0
    for index in range(mode_hz.shape[-1]):
        x = frequency_hz / mode_hz[..., index : index + 1]
        damping = 1j * x / quality[..., index : index + 1]
        total = total + gain[..., index : index + 1] * damping / (1.0 - x * x + damping)
    return xp.asarray(total)


def pickup_response(frequency_hz: Array, resonance_hz: Array, quality: Array) -> Array:
    """Return the low-pass of second order that a pickup's coil and cable make.

    Parameters
    ----------
    frequency_hz : Array, shape (n,)
    resonance_hz, quality : Array, shape (..., 1)

    Returns
    -------
    Array, complex, shape (..., n)
    """
    x = frequency_hz / resonance_hz
    return 1.0 / (1.0 - x * x + 1j * x / quality)


def band_response(frequency_hz: Array, low_hz: Array, high_hz: Array, *, order: int = 2) -> Array:
    """Return the magnitude of a Butterworth band: high-pass at `low_hz` times low-pass at `high_hz`.

    Parameters
    ----------
    frequency_hz : Array, shape (n,)
    low_hz, high_hz : Array, shape (..., 1)
    order : int
        Outside the band each side falls by this times 6 dB an octave.

    Returns
    -------
    Array, real, shape (..., n)
    """
    xp = array_namespace(frequency_hz)
    ratio = low_hz / xp.where(frequency_hz < 1.0, xp.ones_like(frequency_hz), frequency_hz)
    high_pass = 1.0 / xp.sqrt(1.0 + ratio ** (2 * order))
    low_pass = 1.0 / xp.sqrt(1.0 + (frequency_hz / high_hz) ** (2 * order))
    return high_pass * low_pass


def fast_length(n: int) -> int:
    """Return the next length from `n` up that transforms quickly: 2^a times 1, 1.125, 1.25, 1.5 or 1.75."""
    power = 1 << max(4, math.ceil(math.log2(max(n, 1))))
    return min(size for size in (power * 9 // 16, power * 5 // 8, power * 3 // 4, power * 7 // 8, power) if size >= n)


def apply_response(samples: Array, response: Array, *, n_fft: int) -> Array:
    """Filter by a frequency response given on the `n_fft // 2 + 1` bins of a real transform.

    Parameters
    ----------
    samples : Array, shape (..., n), n <= n_fft
    response : Array, shape (..., n_fft // 2 + 1)
    n_fft : int
        What rings on beyond it comes in again at the front.

    Returns
    -------
    Array, shape (..., n)
    """
    xp = array_namespace(samples)
    return xp.fft.irfft(xp.fft.rfft(samples, n=n_fft) * response, n=n_fft)[..., : samples.shape[-1]]


def room_tail(noise: Array, decay_s: Array, *, sample_rate_hz: float) -> Array:
    """Return a room's impulse response without its direct sound: noise that decays, of unit energy.

    Parameters
    ----------
    noise : Array, shape (..., n)
        White noise.
    decay_s : Array, shape (..., 1)
        Reverberation time (−60 dB).
    sample_rate_hz : float

    Returns
    -------
    Array, shape (..., n)
    """
    xp = array_namespace(noise)
    time_s = xp.cumulative_sum(xp.ones_like(noise), axis=-1) / sample_rate_hz
    tail = noise * xp.exp(-math.log(1000.0) * time_s / decay_s)
    return tail / xp.sqrt(xp.sum(tail * tail, axis=-1, keepdims=True))
