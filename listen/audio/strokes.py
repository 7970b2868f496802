"""Strokes of a whole part: where each begins, when strings still ring from the stroke before.

:mod:`listen.audio.onset` finds the strum of a short take. In a part the next stroke comes after 100 ms to a second
while the last one sounds, and a soft instrument has no click to go by; so bands are whitened (each by its own
loudest moments: a mellow guitar has little above 1.5 kHz, but what it has moves with the pick), a band's rise counts
up to a few dB (many bands rising a little are a stroke, one band rising much is one string or a beat between two), and
a stroke must stand out from its surroundings.

Conventions: seconds from the first sample; levels in dB.

References
----------
S. Böck, G. Widmer, "Maximum filter vibrato suppression for onset detection", DAFx 2013 (the rise is counted over the
loudest of three bands some frames ago). D. Stowell, M. Plumbley, "Adaptive whitening for improved real-time audio
onset detection", ICMC 2007.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.audio.late_strings import SURELY_LATE, weigh_late_strings
from listen.audio.stroke_joining import join_rises
from listen.audio.stroke_judge import FRAMES_A_SECOND, Rise, judge_rise

Samples = NDArray[np.float32]
Floats = NDArray[np.float32]

STROKE_RATE_HZ = 16000
HOP = STROKE_RATE_HZ // FRAMES_A_SECOND
WINDOW = 512  # 32 ms
# from under a low E to where the pick's noise is; judged
LOWEST_BAND_HZ, HIGHEST_BAND_HZ, BANDS_PER_OCTAVE = 60.0, 7000.0, 6

# Measured on 42 parts of eight bars (soundfont guitars and mixes of recorded notes, 2, 4 and 6 strokes a second; a
# random search over 60 settings, `tests/benchmarks/part.py` scores the result): onset F .99, .985 and .96.
RISE_LAG = 4  # frames
QUIET_SHARE = 0.01  # of a band's loudest moments: changes under it do not count
BAND_FLOOR = 0.01  # of the loudest band: bands under it are not whitened further
MOST_RISE_DB = 4.0  # of one band
TREBLE_WEIGHT = 0.7  # the highest band counts 1.7 times, the lowest 0.3
LEAST_RISE_DB = 0.2  # a smaller rise is no stroke
OVER_MEDIAN = 1.3  # how far over the median of what lies around
MEDIAN_REACH_S = 0.3  # to each side
NEAR_S = 3.0  # a stroke is compared with the strongest within so many seconds
SHARE_OF_STRONGEST = 0.06  # of the strongest near: less is no stroke
LOOK_BACK_S = 0.06  # how far before its peak a rise may begin
START_SHARE = 0.5  # of the peak's rise: where a stroke is said to begin
# Of 1,942 strokes that sound, 1 in 100 falls by more than 7.5 dB in 0.1 s; of 48 muted ones all by more than 35.
MUTED_SUSTAIN_DB = -15.0
KNOCK_SUSTAIN_DB = -6.0  # a knock while the chord rings on
KNOCK_FLATNESS = 0.45  # strokes that sound: .53 at the 95th percentile, median .26; bursts of noise: median .50
QUIETEST_POWER = 1e-10  # −100 dB: keeps logarithms finite
ABSOLUTE_FLOOR = 1e-7  # of power in a band, full scale 1: under it a recorder's own noise begins


@dataclass(frozen=True, slots=True)
class StrokeOnset:
    """One stroke.

    Parameters
    ----------
    onset_s : float
        When its first string begins to sound.
    strength : float
        Mean rise of the bands, in dB, each at most :data:`MOST_RISE_DB`.
    level_db : float
        Level of its first 80 ms against full scale.
    sustain_db : float
        Level from 70 to 130 ms after the onset against the loudest moment of the first 50 ms: a string goes on, a
        knock does not.
    gain_db : float
        The same level against that just before the stroke.
    flatness : float
        Geometric over arithmetic mean of the bands in the first 40 ms, 0..1: high for noise.
    late : float
        Chance that it is the late strings of the stroke before, 0..1.
    """

    onset_s: float
    strength: float
    level_db: float
    sustain_db: float = 0.0
    gain_db: float = 0.0
    flatness: float = 0.0
    late: float = 0.0

    @property
    def is_hit(self) -> bool:
        """Whether it is a muted stroke or a knock: it stops at once, or adds nothing but noise to what rings."""
        through = self.sustain_db < KNOCK_SUSTAIN_DB and self.gain_db < 0.5 and self.flatness > KNOCK_FLATNESS
        return self.sustain_db < MUTED_SUSTAIN_DB or through


def measure_band_power(samples: Samples) -> Floats:
    """Measure power in logarithmic bands every 5 ms.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`STROKE_RATE_HZ`

    Returns
    -------
    ndarray, shape (n // HOP + 1, n_bands)
    """
    from scipy import fft

    padded = np.pad(samples, (WINDOW // 2, WINDOW))
    frames = np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP][: len(samples) // HOP + 1]
    taper = np.hanning(WINDOW + 1)[:-1].astype(np.float32)
    filters = _make_filters()
    power = np.empty((len(frames), filters.shape[1]), np.float32)
    for first in range(0, len(frames), 2048):
        spectrum = fft.rfft(frames[first : first + 2048] * taper, axis=1)
        power[first : first + 2048] = (spectrum.real**2 + spectrum.imag**2) @ filters
    return np.asarray(power / np.float32((WINDOW / 4) ** 2), np.float32)


def _make_filters() -> Floats:
    """Make triangular filters on the bins of one window, shape (n_bins, n_bands)."""
    bin_hz = STROKE_RATE_HZ / WINDOW
    hz = np.arange(WINDOW // 2 + 1) * bin_hz
    n_edges = int(np.log2(HIGHEST_BAND_HZ / LOWEST_BAND_HZ) * BANDS_PER_OCTAVE) + 2
    edges = LOWEST_BAND_HZ * 2.0 ** (np.arange(n_edges) / BANDS_PER_OCTAVE)
    centre = edges[1:-1]
    left, right = np.minimum(edges[:-2], centre - bin_hz), np.maximum(edges[2:], centre + bin_hz)
    rising = (hz[:, None] - left) / (centre - left)
    falling = (right - hz[:, None]) / (right - centre)
    return np.asarray(np.clip(np.minimum(rising, falling), 0.0, None), np.float32)


def _whiten(bands: Floats) -> Floats:
    """Return each band's level against its own loudest moments, in dB."""
    loud = np.quantile(bands, 0.95, axis=0)
    loud = np.maximum(np.maximum(loud, loud.max() * BAND_FLOOR), ABSOLUTE_FLOOR)
    return np.asarray(10.0 * np.log10(bands / loud + QUIET_SHARE), np.float32)


def _measure_rise(level_db: Floats) -> Floats:
    """Measure how much whitened bands rise at each frame, in dB, as a weighted mean."""
    if len(level_db) <= RISE_LAG:
        return np.zeros(len(level_db), np.float32)
    before = level_db.copy()
    before[:, 1:] = np.maximum(before[:, 1:], level_db[:, :-1])
    before[:, :-1] = np.maximum(before[:, :-1], level_db[:, 1:])
    rise = np.zeros_like(level_db)
    rise[RISE_LAG:] = np.clip(level_db[RISE_LAG:] - before[:-RISE_LAG], 0.0, MOST_RISE_DB)
    weights = np.linspace(1.0 - TREBLE_WEIGHT, 1.0 + TREBLE_WEIGHT, level_db.shape[1])
    return np.asarray(rise @ weights / level_db.shape[1], np.float32)


def find_strokes(samples: Samples) -> tuple[StrokeOnset, ...]:
    """Find the strokes of a stretch of a part.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`STROKE_RATE_HZ`

    Returns
    -------
    tuple of StrokeOnset
        In time order; empty for silence. Knocks and drums are found too.

    Examples
    --------
    >>> time_s = np.arange(32000) / STROKE_RATE_HZ
    >>> pluck = np.sin(1231.5 * time_s) * np.exp(-3 * time_s)
    >>> played = np.roll(pluck, 8000) * (time_s > 0.5) + np.roll(pluck, 16000) * (time_s > 1.0)
    >>> [round(stroke.onset_s, 1) for stroke in find_strokes(played.astype(np.float32))]
    [0.5, 1.0]
    """
    bands = measure_band_power(samples)
    level_db = _whiten(bands)
    peaks, smooth = _pick_peaks(_measure_rise(level_db))
    power = bands.sum(axis=1)
    rises = []
    for peak in peaks:
        start = peak
        while start > max(0, peak - int(LOOK_BACK_S * FRAMES_A_SECOND)) and (
            smooth[start - 1] > START_SHARE * smooth[peak]
        ):
            start -= 1
        strength = float(smooth[peak])
        rises.append(Rise(start, peak, strength, judge_rise(level_db, start, strength)))
    strokes = join_rises(rises, level_db)
    described = [_describe(bands, power, stroke.start, stroke.strength) for stroke in strokes]
    late = weigh_late_strings(strokes, level_db, [one.gain_db for one in described], [one.is_hit for one in described])
    return tuple(replace(one, late=chance) for one, chance in zip(described, late, strict=True) if chance < SURELY_LATE)


def _describe(bands: Floats, power: Floats, start: int, strength: float) -> StrokeOnset:
    """Measure how a stroke begins and goes on; ``start`` counts frames."""
    attack = float(power[start : start + 10].max())
    sustain = float(power[start + 14 : start + 26].mean()) if start + 14 < len(power) else attack
    before = float(power[max(0, start - 9) : max(1, start - 1)].mean())
    head = bands[start : start + 8].mean(axis=0) + QUIETEST_POWER
    return StrokeOnset(
        onset_s=start / FRAMES_A_SECOND,
        strength=strength,
        level_db=_to_db(float(power[start : start + 16].mean())),
        sustain_db=_to_db(sustain) - _to_db(attack),
        gain_db=_to_db(sustain) - _to_db(before),
        flatness=float(np.exp(np.log(head).mean()) / head.mean()),
    )


def _to_db(power: float) -> float:
    return 10.0 * float(np.log10(power + QUIETEST_POWER))


def _pick_peaks(rise: Floats) -> tuple[list[int], Floats]:
    """Take local maxima that stand out from their surroundings."""
    view = np.lib.stride_tricks.sliding_window_view
    taper = np.hanning(9)
    smooth = np.convolve(rise, taper / taper.sum(), "same").astype(np.float32)
    if len(smooth) < 16:
        return [], smooth
    reach = int(0.03 * FRAMES_A_SECOND)
    highest = view(np.pad(smooth, reach), 2 * reach + 1).max(axis=1)
    reach = int(MEDIAN_REACH_S * FRAMES_A_SECOND)
    median = np.median(view(np.pad(smooth, reach, mode="edge"), 2 * reach + 1)[::5], axis=1)
    median = np.repeat(median, 5)[: len(smooth)]
    peaks = np.flatnonzero((smooth >= highest) & (smooth > LEAST_RISE_DB + OVER_MEDIAN * median))
    strengths = smooth[peaks]
    kept: list[int] = []
    for place, peak in enumerate(peaks.tolist()):
        around = NEAR_S * FRAMES_A_SECOND
        near = strengths[np.searchsorted(peaks, peak - around) : np.searchsorted(peaks, peak + around)]
        if strengths[place] <= SHARE_OF_STRONGEST * np.sort(near)[-int(NEAR_S) :].mean():
            continue
        kept.append(peak)
    return kept, smooth
