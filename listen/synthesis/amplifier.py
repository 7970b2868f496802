"""An overdriven amplifier: clipping without aliases, one or more stages.

A nonlinearity makes sums and differences of all partials; those above half the sample rate would fold back as false
notes, so the signal is clipped at a multiple of its rate. Runs on the array API (numpy or torch).

References
----------
Pakarinen, Yeh, "A review of digital techniques for modeling vacuum-tube guitar amplifiers", Computer Music Journal
33(2), 2009 (static curves between filters, bias, oversampling).
"""

from __future__ import annotations

from typing import Any

from array_api_compat import array_namespace

Array = Any


def saturate(samples: Array, hardness: Array) -> Array:
    """Clip to −1..1 by x / (1 + |x|^h)^(1/h): h = 1.5 is a soft valve, 2.5 near tanh, 12 a hard clipper.

    Parameters
    ----------
    samples : Array, shape (..., n)
    hardness : Array, shape (..., 1)

    Examples
    --------
    >>> import numpy as np
    >>> saturate(np.asarray([[0.1, 5.0]]), np.asarray([[12.0]])).round(3)
    array([[0.1, 1. ]])
    """
    xp = array_namespace(samples)
    size = xp.abs(samples)
    small = xp.where(size > 1.0, 1.0 / xp.where(size > 1.0, size, xp.ones_like(size)), size)
    bend = (1.0 + small**hardness) ** (1.0 / hardness)
    return xp.where(size > 1.0, xp.sign(samples) / bend, samples / bend)


def overdrive(samples: Array, drive: Array, bias: Array, hardness: Array, *, oversampling: int = 4) -> Array:
    """Drive a clipping stage: saturate(drive·x + bias), its standing offset taken off, at a higher sample rate.

    Parameters
    ----------
    samples : Array, shape (..., n)
        Near −1..1.
    drive, bias, hardness : Array, shape (..., 1)
        Gain before the stage; how lopsided it clips (even harmonics); see :func:`saturate`.
    oversampling : int
        Times the sample rate.

    Returns
    -------
    Array, shape (..., n)
    """
    xp = array_namespace(samples)
    n = samples.shape[-1]
    wide = xp.fft.irfft(xp.fft.rfft(samples), n=n * oversampling) * oversampling
    clipped = saturate(drive * wide + bias, hardness) - saturate(bias + 0.0 * drive, hardness)
    spectrum = xp.fft.rfft(clipped)[..., : n // 2 + 1]
    return xp.fft.irfft(spectrum, n=n) / oversampling
