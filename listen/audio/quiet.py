"""Where nothing sounds: the silences of a part, told to a tenth of a second.

Silent is what lies far under the loudest tenth of a second so far. In a recording with a noise floor that is never so;
there it is what lies well under it, stays at one level, and holds no tone that would be heard in a quiet recording:
strings that ring on under the noise stand out of its spectrum.
"""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from listen.audio.stroke_spectra import STROKE_RATE_HZ
from listen.evidence import TimeSpan

Samples = NDArray[np.float32]
Floats = NDArray[np.float64]

QUIET_DB, QUIETEST_DB = -48.0, -75.0  # against the loudest tenth of a second so far; against full scale
QUIET_STEP_S = 0.1  # silences are told to so much; judged
STEP = round(QUIET_STEP_S * STROKE_RATE_HZ)
NOISE_DB, NOISE_STEPS, NOISE_VARIES_DB = -30.0, 6, 4.0
"""A noise floor lies so far under the loudest, for so many tenths of a second, and stays within so much: that of a room
in a phone's recording varies by 3 dB, strings that were struck once fall by 3 dB to 20 in that time."""
TONE_FFT, TONE_HZ = 4096, (70.0, 1500.0)  # where strings ring on longest
TONE_WINDOW = np.hanning(TONE_FFT)
TONE_POWER, TONE_BINS = 25.0, 31
"""A tone is what stands so far out of the median of so many bins around it: one bin of noise in ten million does."""


def measure_levels(samples: Samples) -> Floats:
    """Measure the level of each whole tenth of a second, against full scale.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`~listen.audio.STROKE_RATE_HZ`

    Returns
    -------
    ndarray, shape (n // 1600,), dB
    """
    power = np.square(_cut_steps(samples), dtype=np.float64).mean(axis=1)
    return np.asarray(10.0 * np.log10(power + 1e-12))


def find_quiet(samples: Samples, core: slice, *, loudest_db: float, start_s: float) -> list[TimeSpan]:
    """Find where nothing sounds for a while.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`~listen.audio.STROKE_RATE_HZ`
        With what lies around the core, so that a silence is known that goes on over its end.
    core : slice
        The tenths of a second in which silences are looked for.
    loudest_db : float
        Of any tenth of a second so far, against full scale.
    start_s : float
        Where the core begins.

    Returns
    -------
    list of TimeSpan
    """
    levels_db = measure_levels(samples)
    is_quiet = levels_db < max(loudest_db + QUIET_DB, QUIETEST_DB)
    is_quiet |= _find_noise(samples, levels_db, loudest_db)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], is_quiet[core], [False]]).astype(int)))
    return [
        TimeSpan(start_s + QUIET_STEP_S * begin, start_s + QUIET_STEP_S * end)
        for begin, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    ]


def join_quiet(before: tuple[TimeSpan, ...], found: list[TimeSpan]) -> tuple[TimeSpan, ...]:
    """Join a silence that goes on to that of the core before."""
    joined = list(before)
    for span in found:
        if joined and span.start_s - joined[-1].end_s < 1.1 * QUIET_STEP_S:
            joined[-1] = TimeSpan(joined[-1].start_s, span.end_s)
        else:
            joined.append(span)
    return tuple(joined)


def _cut_steps(samples: Samples) -> Samples:
    n = len(samples) // STEP
    return samples[: n * STEP].reshape(n, STEP)


def _find_noise(samples: Samples, levels_db: Floats, loudest_db: float) -> NDArray[np.bool_]:
    """Find the tenths of a second in which there is a noise floor, and no string rings on under it."""
    found = np.zeros(len(levels_db), np.bool_)
    if len(levels_db) < NOISE_STEPS:
        return found
    windows = sliding_window_view(levels_db, NOISE_STEPS)
    is_flat = (windows.max(axis=1) < loudest_db + NOISE_DB) & (np.ptp(windows, axis=1) < NOISE_VARIES_DB)
    for first in np.flatnonzero(is_flat):
        found[first : first + NOISE_STEPS] = True
    limit = 10.0 ** ((loudest_db + QUIET_DB) / 10.0)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], found, [False]]).astype(int)))
    for begin, end in edges.reshape(-1, 2).tolist():
        piece = samples[begin * STEP : end * STEP]
        firsts = np.clip(np.arange(end - begin) * STEP + (STEP - TONE_FFT) // 2, 0, len(piece) - TONE_FFT)
        found[begin:end] = [_measure_tones(piece[first : first + TONE_FFT]) < limit for first in firsts.tolist()]
    return found


def _measure_tones(frame: Samples) -> float:
    """Measure the power of the tones that stand out of noise."""
    power = 2.0 * np.abs(np.fft.rfft(frame * TONE_WINDOW)) ** 2 / (TONE_FFT * np.square(TONE_WINDOW).sum())
    first, last = (round(hz * TONE_FFT / STROKE_RATE_HZ) for hz in TONE_HZ)
    near = sliding_window_view(power[first - TONE_BINS // 2 : last + TONE_BINS // 2 + 1], TONE_BINS)
    own = power[first : last + 1]
    return float(own[own > TONE_POWER * np.median(near, axis=1)].sum())
