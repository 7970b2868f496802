"""A hummed note: its pitch, whatever the octave, or why there is none.

The fundamental is followed by YIN; the note is the median of its longest steady run. Written out here, since librosa's
compiles for a minute before the first note of a player's first hum.

References
----------
A. de Cheveigné and H. Kawahara, "YIN, a fundamental frequency estimator for speech and music", JASA 111(4), 2002.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LOWEST_HZ, HIGHEST_HZ = 65.0, 700.0  # C2 to F5: from a low man's to a child's voice
RATE_HZ = 16_000
FRAME, HOP = 2048, 512
SILENCE_DB = -50.0  # of a hum as a whole, against full scale; judged, not measured
FAINTEST_DB = -30.0  # of a frame against the loudest: below it a room hums, not a player; judged, not measured
FIRST_DIP = 0.1  # the paper's threshold: the shortest lag with a dip below it is the period, else the deepest dip's
MOST_APERIODIC, STEADY_CENTS, STEADY_S, STEADY_SHARE = 0.4, 60.0, 0.25, 1 / 3
"""How deep the dip must be; how near the median of a run its notes stay (vibrato does, a glide does not); how long it
lasts, and which share it is of all that is voiced, for speech has steady vowels too: without it 18 of the 30 sentences
of ``python -m tests.benchmarks.practice``, which says what comes of all four, were hums."""


@dataclass(frozen=True, slots=True)
class HummedNote:
    """What was hummed.

    Parameters
    ----------
    midi : float or None
        In semitones, fractions for cents (60.0 = C4 at A4 = 440 Hz); None when no note was hummed.
    reason : str
        Why there is none; empty otherwise.
    """

    midi: float | None
    reason: str = ""


def estimate_hum(samples: NDArray[np.float32], *, sample_rate_hz: int) -> HummedNote:
    """Estimate the pitch of one hummed or sung note.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, -1..1
    sample_rate_hz : int

    Returns
    -------
    HummedNote

    Examples
    --------
    >>> time_s = np.arange(16_000) / 16_000
    >>> hum = estimate_hum(np.sin(2 * np.pi * 220.0 * time_s).astype(np.float32), sample_rate_hz=16_000)
    >>> round(hum.midi, 1)
    57.0
    """
    import soxr

    heard = np.asarray(soxr.resample(samples, sample_rate_hz, RATE_HZ), np.float64)
    if len(heard) < FRAME or 20.0 * np.log10(float(np.sqrt(np.mean(heard**2))) + 1e-12) < SILENCE_DB:
        return HummedNote(None, "Nothing was hummed: the recording is silent.")
    frequency_hz, aperiodicity = _follow_pitch(heard)
    told = aperiodicity < MOST_APERIODIC
    midi = 69.0 + 12.0 * np.log2(frequency_hz / 440.0)
    run = _longest_steady(midi, told)
    if run is None or len(run) < STEADY_SHARE * told.sum():
        return HummedNote(None, "No steady note was heard: hum one note for about a second.")
    return HummedNote(float(np.median(run)))


def _follow_pitch(samples: Floats) -> tuple[Floats, Floats]:
    """Return the fundamental of each frame in Hz, and how deep the dip at its period is, 1 where none counts."""
    n_lags, shortest = int(RATE_HZ / LOWEST_HZ) + 2, int(RATE_HZ / HIGHEST_HZ)
    window = FRAME - n_lags
    frames = np.lib.stride_tricks.sliding_window_view(samples, FRAME)[::HOP]
    spectra = np.fft.rfft(frames[:, :window], 2 * FRAME).conj() * np.fft.rfft(frames, 2 * FRAME)
    alike = np.fft.irfft(spectra, 2 * FRAME)[:, :n_lags]
    squares = np.pad(np.cumsum(frames**2, axis=1), ((0, 0), (1, 0)))
    power = squares[:, window : window + n_lags] - squares[:, :n_lags]
    apart = np.maximum(power[:, :1] + power - 2.0 * alike, 0.0)[:, 1:]
    apart *= np.arange(1, n_lags) / np.maximum(np.cumsum(apart, axis=1), 1e-12)
    apart = apart[:, shortest - 2 :]  # its columns: lags from one less than the shortest
    before, at, after = apart[:, :-2], apart[:, 1:-1], apart[:, 2:]
    is_dip = (at < before) & (at <= after)
    is_clear = is_dip & (at < FIRST_DIP)
    deepest = np.where(is_dip, at, np.inf).argmin(axis=1)
    place = np.where(is_clear.any(axis=1), is_clear.argmax(axis=1), deepest)[:, None]
    before, at, after = (np.take_along_axis(lags, place, axis=1)[:, 0] for lags in (before, at, after))
    bend = np.maximum(before - 2.0 * at + after, 1e-12)
    lag = shortest + place[:, 0] + np.clip(0.5 * (before - after) / bend, -0.5, 0.5)
    is_loud = power[:, 0] > 10.0 ** (FAINTEST_DB / 10.0) * power[:, 0].max()
    return RATE_HZ / lag, np.where(is_dip.any(axis=1) & is_loud, at, 1.0)


def _longest_steady(midi: Floats, told: NDArray[np.bool_]) -> Floats | None:
    """Return the longest run of voiced frames that stays near one pitch, if it lasts."""
    least = int(np.ceil(STEADY_S * RATE_HZ / HOP))
    best: Floats | None = None
    start = 0
    for place in range(len(midi) + 1):
        inside = place < len(midi) and told[place]
        if inside:
            run = midi[start : place + 1]
            if np.abs(run - np.median(run)).max() * 100.0 <= STEADY_CENTS:
                continue
        found = midi[start:place]
        if len(found) >= least and (best is None or len(found) > len(best)):
            best = found
        start = place if inside else place + 1
    return best
