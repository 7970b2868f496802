"""The ear's front end: a strum as six short spectra on a logarithmic axis of pitch.

One window length cannot serve the bass and the attack (resolving E2 from F2 takes 0.2 to 0.8 s), so the networks see
six windows: a long one for pitch, three middle ones for the decay, a short one at the attack, and one that ends
before the onset and shows what was already sounding.

Conventions: 16 kHz mono; bands every 25 cents from MIDI 35 (B1) up; levels are 0 at 70 dB under the loudest band and
1 at the loudest. The segment that is analysed begins :data:`LEAD_S` before the onset.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.audio.row_spectra import measure_power

Samples = NDArray[np.float32]

EAR_RATE_HZ = 16_000
BANDS_PER_SEMITONE = 4
LOWEST_BAND_MIDI = 35
N_BANDS = 316
LEAD_S = 0.16  # the network was trained with it; judged
FLOOR_DB = 70.0  # under the loudest band; trained with it
WHITENING_SEMITONES = 5.0  # of the smoothing that takes the guitar's colour out; trained with it
WINDOWS = (
    (16384, 0.02),
    (8192, 0.02),
    (8192, 0.27),
    (8192, 0.55),
    (4096, -0.01),
    (2048, -0.14),
)
"""Length in samples and start in seconds after the onset; the last ends before it."""
N_LEAD = int(LEAD_S * EAR_RATE_HZ)
N_SEGMENT = N_LEAD + int(1.10 * EAR_RATE_HZ)  # seconds after the onset: the last window ends there


@dataclass(frozen=True, slots=True)
class _BandFilter:
    """Triangular bands on the bins of one window, as a sparse matrix in rows (each band a run of bins)."""

    start: int
    taper: Samples
    n_fft: int
    bins: NDArray[np.intp]
    weights: Samples
    row_starts: NDArray[np.intp]

    def measure(self, segments: Samples) -> Samples:
        """Return the power in each band of each segment, where a sine of amplitude A has A²."""
        power = measure_power(segments[:, self.start : self.start + len(self.taper)] * self.taper, self.n_fft)
        return np.asarray(np.add.reduceat(power.take(self.bins, axis=1) * self.weights, self.row_starts, axis=1))


def _make_band_filter(n_window: int, start_s: float) -> _BandFilter:
    n_fft = 2 * n_window if n_window <= 8192 else n_window
    bin_hz = EAR_RATE_HZ / n_fft
    centres_hz = 440.0 * 2.0 ** ((LOWEST_BAND_MIDI + np.arange(N_BANDS) / BANDS_PER_SEMITONE - 69.0) / 12.0)
    half_width_hz = np.maximum(centres_hz * (2.0 ** (1.0 / 48.0) - 1.0), EAR_RATE_HZ / n_window)
    first = np.maximum(np.ceil((centres_hz - half_width_hz) / bin_hz), 0).astype(np.intp)
    last = np.minimum(np.floor((centres_hz + half_width_hz) / bin_hz), n_fft // 2).astype(np.intp)
    lengths = last - first + 1
    row_starts = np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(np.intp)
    bins = np.arange(lengths.sum()) - np.repeat(row_starts - first, lengths)
    centre, width = np.repeat(centres_hz, lengths), np.repeat(half_width_hz, lengths)
    weights = np.maximum(0.0, 1.0 - np.abs(bins * bin_hz - centre) / width) / (n_window / 4.0) ** 2
    taper = np.hanning(n_window + 1)[:-1].astype(np.float32)
    start = N_LEAD + int(start_s * EAR_RATE_HZ)
    return _BandFilter(start, taper, n_fft, bins, weights.astype(np.float32), row_starts)


@cache
def _band_filters() -> tuple[_BandFilter, ...]:
    return tuple(_make_band_filter(n_window, start_s) for n_window, start_s in WINDOWS)


@cache
def _smoother() -> Samples:
    """Gaussian mean along the bands, five semitones wide; columns sum to one."""
    index = np.arange(N_BANDS)
    kernel = np.exp(-0.5 * ((index[:, None] - index) / (WHITENING_SEMITONES * BANDS_PER_SEMITONE)) ** 2)
    smoother: Samples = (kernel / kernel.sum(axis=0, keepdims=True)).astype(np.float32)
    return smoother


def measure_all_bands(segments: Samples) -> Samples:
    """Measure the six spectra of several segments, and each against its own neighbourhood.

    Parameters
    ----------
    segments : ndarray, shape (n, :data:`N_SEGMENT`)

    Returns
    -------
    ndarray, shape (n, 12, :data:`N_BANDS`)
        Rows 0 to 5 the levels (0..1) in the order of :data:`WINDOWS`; rows 6 to 11 twice the level above its
        Gaussian mean over five semitones.
    """
    power = np.stack([band_filter.measure(segments) for band_filter in _band_filters()], axis=1)
    loudest = np.maximum(power[:, :-1].max(axis=(1, 2)), np.float32(1e-9))[:, None, None]
    level = (10.0 * np.log10(power / loudest + np.float32(10.0 ** (-FLOOR_DB / 10.0))) + FLOOR_DB) / FLOOR_DB
    level = level.astype(np.float32, copy=False)
    return np.concatenate([level, 2.0 * (level - level @ _smoother())], axis=1).astype(np.float32, copy=False)
