"""The plucked string: from its physics to its partials.

Every function takes arrays of any library that the array API standard knows (numpy for listening and fixtures, torch
in batches for training) and returns arrays of the same kind. Conventions: the last axis counts partials, 1 the
fundamental; frequency in Hz; decay rates in nepers a second (amplitude falls as exp(−rate·t)).

References
----------
Fletcher, JASA 36(1), 1964 (stiff string). Fletcher, Rossing, "The Physics of Musical Instruments", 2nd ed. 1998, ch. 2
(modes of a plucked string, force at the bridge). Jungmann, "Theoretical and practical studies on the behaviour of
electric guitar pick-ups", 1994 (a pickup hears the string's velocity at its place). Bensa, Bilbao, Kronland-Martinet,
Smith, JASA 114(2), 2003 (loss rising with the square of frequency). Weinreich, JASA 62(6), 1977 (two polarisations,
two decays).
"""

from __future__ import annotations

import math
from typing import Any

from array_api_compat import array_namespace

Array = Any  # an array of whichever library the caller uses (array API standard, 2023.12)

NEPERS_PER_60_DB = math.log(1000.0)
COMB_FLOOR = 0.02  # a real string's nodes are not silent: a pick has width and a string two polarisations


def partial_numbers(n_partials: int, like: Array) -> Array:
    """Return 1, 2 … n_partials as floats on the device of `like`."""
    xp = array_namespace(like)
    return xp.arange(1, n_partials + 1, dtype=like.dtype, device=_device_of(like))


def partial_frequencies(fundamental_hz: Array, stiffness: Array, *, n_partials: int) -> Array:
    """Return the frequencies of a stiff string, f_k = k·f0·sqrt(1 + B·k²) (Fletcher 1964).

    Parameters
    ----------
    fundamental_hz : Array, shape (...)
        f0, the fundamental that the string would have without stiffness.
    stiffness : Array, shape (...)
        B.
    n_partials : int

    Returns
    -------
    Array, shape (..., n_partials), Hz

    Examples
    --------
    >>> import numpy as np
    >>> partial_frequencies(np.asarray([100.0]), np.asarray([1e-4]), n_partials=10).round(2)[0, [0, 9]]
    array([ 100.  , 1004.99])
    """
    xp = array_namespace(fundamental_hz)
    k = partial_numbers(n_partials, fundamental_hz)
    return fundamental_hz[..., None] * k * xp.sqrt(1.0 + stiffness[..., None] * k * k)


def comb_amplitudes(position: Array, *, n_partials: int) -> Array:
    """Return how strongly each mode moves at a place on the string, sin(kπ·position), never quite nought.

    Parameters
    ----------
    position : Array, shape (...)
        Distance from the bridge over the sounding length, 0..0.5.
    n_partials : int

    Returns
    -------
    Array, shape (..., n_partials), signed
    """
    xp = array_namespace(position)
    swing = xp.sin(math.pi * position[..., None] * partial_numbers(n_partials, position))
    floor = xp.full_like(swing, COMB_FLOOR)
    return xp.where(xp.abs(swing) < COMB_FLOOR, xp.where(swing < 0, -floor, floor), swing)


def pluck_amplitudes(frequency_hz: Array, pluck_position: Array, slope: Array, contact_hz: Array) -> Array:
    """Return the amplitudes of a plucked string's partials as force on the bridge.

    A string let go at β has modes sin(kπβ)/k², and its force on the bridge goes with k times that (Fletcher &
    Rossing, ch. 2): slope 1. The width and softness of pick or finger take away what lies above `contact_hz`.

    Parameters
    ----------
    frequency_hz : Array, shape (..., n_partials)
    pluck_position : Array, shape (...)
        β, from the bridge over the sounding length.
    slope, contact_hz : Array, shape (...)
        Exponent of the fall with k; corner of the contact in Hz.

    Returns
    -------
    Array, shape (..., n_partials), signed
    """
    xp = array_namespace(frequency_hz)
    n_partials = frequency_hz.shape[-1]
    k = partial_numbers(n_partials, frequency_hz)
    fall = xp.exp(-slope[..., None] * xp.log(k))
    return comb_amplitudes(pluck_position, n_partials=n_partials) * fall * xp.exp(-frequency_hz / contact_hz[..., None])


def decay_rates(frequency_hz: Array, decay_s: Array, slope: Array, curve: Array) -> Array:
    """Return each partial's decay rate, r·(1 + slope·f + curve·f²) with f in kHz.

    The constant is loss to air and supports, the rest the string's own (Bensa et al. 2003 have the square).

    Parameters
    ----------
    frequency_hz : Array, shape (..., n_partials)
    decay_s : Array, shape (...)
        Time to fall by 60 dB near 0 Hz.
    slope, curve : Array, shape (...)

    Returns
    -------
    Array, shape (..., n_partials), nepers a second
    """
    khz = frequency_hz / 1000.0
    base = (NEPERS_PER_60_DB / decay_s)[..., None]
    return base * (1.0 + slope[..., None] * khz + curve[..., None] * khz * khz)


def sum_partials(
    frequency_hz: Array, amplitude: Array, rate: Array, phase: Array, *, n_samples: int, sample_rate_hz: float
) -> Array:
    """Sum decaying partials, Σ a·exp(−rate·t)·cos(2π·f·t + phase), as one matrix product a string.

    Time is split into blocks, t = t0 + t1: exp(i·ω·(t0 + t1)) = exp(i·ω·t0)·exp(i·ω·t1), so a signal of n samples
    costs 2·√n·n_partials sines in place of n·n_partials, and one matrix product.

    Parameters
    ----------
    frequency_hz, amplitude, rate, phase : Array, shape (..., n_partials)
    n_samples : int
    sample_rate_hz : float

    Returns
    -------
    Array, shape (..., n_samples)
    """
    xp = array_namespace(frequency_hz)
    device, dtype = _device_of(frequency_hz), frequency_hz.dtype
    block = max(16, math.isqrt(n_samples))
    n_blocks = -(-n_samples // block)
    starts = xp.arange(n_blocks, dtype=dtype, device=device) * (block / sample_rate_hz)
    inside = xp.arange(block, dtype=dtype, device=device) / sample_rate_hz
    cycles = starts[:, None] * frequency_hz[..., None, :]
    angle = 2.0 * math.pi * (cycles - xp.floor(cycles)) + phase[..., None, :]
    envelope = amplitude[..., None, :] * xp.exp(-starts[:, None] * rate[..., None, :])
    left = xp.concat([envelope * xp.cos(angle), -envelope * xp.sin(angle)], axis=-1)
    turn = (2.0 * math.pi) * frequency_hz[..., None] * inside
    fade = xp.exp(-rate[..., None] * inside)
    right = xp.concat([fade * xp.cos(turn), fade * xp.sin(turn)], axis=-2)
    blocks = xp.matmul(left, right)
    return xp.reshape(blocks, (*blocks.shape[:-2], n_blocks * block))[..., :n_samples]


def _device_of(array: Array) -> Any:
    from array_api_compat import device

    return device(array)
