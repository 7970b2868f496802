"""What a stroke adds to what was ringing: its spectrum by semitones, and which pitches rise.

Two strokes on the same held chord have the same spectrum by semitones, whatever their loudness; a change of chord takes
semitones away and brings others. A pitch that was there before and does not rise at the stroke was not struck: it
rings over.

Conventions: samples at :data:`~listen.audio.stroke_spectra.STROKE_RATE_HZ`; seconds from the first sample; the
recording's tuning offset in cents is taken into account by the caller's value.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from listen.audio.stroke_spectra import STROKE_RATE_HZ
from listen.theory import Pitch

Samples = NDArray[np.float32]
Floats = NDArray[np.float64]

PROFILE_MIDI = range(38, 101)
"""The lowest are closer to each other than a window of 0.2 s can part, yet a bass that comes or goes moves them."""
PROFILE_LONGEST_S, PROFILE_FFT = 0.4, 8192  # long enough to part semitones from F2 up; judged
AFTER_ATTACK_S = 0.02  # the noise of the pick
BEFORE_STROKE_S = 0.01  # the next stroke's own blur is left out; judged
SEMITONE_SHARE = 0.4  # of a semitone to each side

# a window on either side of a stroke, as long as its neighbours allow; judged
RISE_LONGEST_S, RISE_SHORTEST_S, RISE_FFT = 0.16, 0.06, 4096
HIGHEST_PARTIAL, HIGHEST_PARTIAL_HZ = 8, 4000.0  # higher ones are weak, and lie where others do; judged
PARTIAL_FLOOR_DB = -50.0  # so far under the loudest a rise is leakage; judged
HANN_WIDTH = 2.2  # bins over which a partial spreads: closer ones are one peak


def measure_profile(samples: Samples, *, onset_s: float, until_s: float, tuning_offset_cents: float = 0.0) -> Floats:
    """Measure the amplitude in each semitone after a stroke.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono
    onset_s, until_s : float
        The stroke, and the next one; at most :data:`PROFILE_LONGEST_S` are looked at.
    tuning_offset_cents : float

    Returns
    -------
    ndarray, shape (len(PROFILE_MIDI),)
        Zero where there is too little sound.
    """
    from scipy import fft

    first = max(0, round((onset_s + AFTER_ATTACK_S) * STROKE_RATE_HZ))
    last = round(min(until_s - BEFORE_STROKE_S, onset_s + AFTER_ATTACK_S + PROFILE_LONGEST_S) * STROKE_RATE_HZ)
    piece = samples[first:last]
    if len(piece) < 0.02 * STROKE_RATE_HZ:
        return np.zeros(len(PROFILE_MIDI))
    spectrum = np.abs(fft.rfft(piece * _hann(len(piece)), PROFILE_FFT)) / len(piece)
    return np.maximum.reduceat(spectrum, _semitone_edges(round(tuning_offset_cents)))[::2].astype(np.float64)


@cache
def _semitone_edges(offset_cents: int) -> NDArray[np.int64]:
    """Return the first bin of each semitone and the one after its last, one after the other."""
    midi = np.arange(PROFILE_MIDI.start, PROFILE_MIDI.stop) + offset_cents / 100.0
    bins = 440.0 * 2.0 ** ((midi - 69.0) / 12.0) * PROFILE_FFT / STROKE_RATE_HZ
    low = (bins * 2.0 ** (-SEMITONE_SHARE / 12.0)).astype(np.int64)
    high = np.maximum((bins * 2.0 ** (SEMITONE_SHARE / 12.0)).astype(np.int64), low + 1)
    return np.stack([low, high], axis=-1).reshape(-1)


def measure_rises(
    samples: Samples,
    pitches: Sequence[Pitch],
    *,
    onset_s: float,
    span_s: tuple[float, float],
    tuning_offset_cents: float = 0.0,
) -> Floats:
    """Measure by how much each pitch rises at a stroke, from partials that it shares with no other.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono
    pitches : sequence of Pitch
        All that sound before or after the stroke.
    onset_s : float
    span_s : (float, float)
        The strokes before and after, which bound what may be looked at.
    tuning_offset_cents : float

    Returns
    -------
    ndarray, shape (len(pitches),)
        In dB; NaN where every partial is shared, or the strokes are too close together.
    """
    from scipy import fft

    nothing = np.full(len(pitches), np.nan)
    room = min(onset_s - BEFORE_STROKE_S - span_s[0] - AFTER_ATTACK_S, span_s[1] - onset_s - 0.04)
    length_s = max(RISE_SHORTEST_S, min(RISE_LONGEST_S, room))
    n = round(length_s * STROKE_RATE_HZ)
    end_before = round((onset_s - BEFORE_STROKE_S) * STROKE_RATE_HZ)
    begin_after = round((onset_s + 0.03) * STROKE_RATE_HZ)
    if end_before < n or begin_after + n > len(samples) or not pitches:
        return nothing
    n_fft = RISE_FFT
    taper = _hann(n)
    before = np.abs(fft.rfft(samples[end_before - n : end_before] * taper, n_fft))
    after = np.abs(fft.rfft(samples[begin_after : begin_after + n] * taper, n_fft))
    fundamentals = np.array([pitch.frequency_hz for pitch in pitches]) * 2.0 ** (tuning_offset_cents / 1200.0)
    own = _find_own_partials(fundamentals, HANN_WIDTH / length_s)
    middle = own * n_fft / STROKE_RATE_HZ
    reach = np.maximum(1.0, 0.012 * middle)  # 20 cents: stiffness and mistuning
    edges = np.stack([np.maximum(middle - reach, 0).astype(int), (middle + reach).astype(int) + 2], axis=-1).reshape(-1)
    level_before, level_after = (
        np.maximum.reduceat(spectrum, edges)[::2].reshape(own.shape).astype(np.float64) for spectrum in (before, after)
    )
    floor = float(after.max()) * 10.0 ** (PARTIAL_FLOOR_DB / 20.0) + 1e-9
    loud = np.maximum(level_before, level_after)
    weights = np.where((own > 0) & (loud >= floor), 1.0 + 20.0 * np.log10(np.maximum(loud, floor) / floor), 0.0)
    rises = 20.0 * np.log10((level_after + 0.3 * floor) / (level_before + 0.3 * floor))
    total = weights.sum(axis=1)
    return np.where(total > 0, (weights * rises).sum(axis=1) / np.maximum(total, 1e-9), np.nan)


def _find_own_partials(fundamentals: Floats, width_hz: float) -> Floats:
    """Return the frequencies of each pitch's partials, 0 where another pitch has one within the width."""
    numbers = np.arange(1, HIGHEST_PARTIAL + 1)
    hz = fundamentals[:, None] * numbers
    ratio = hz[:, :, None] / fundamentals
    nearest = np.clip(np.round(ratio), 1, HIGHEST_PARTIAL + 2) * fundamentals
    apart = np.abs(hz[:, :, None] - nearest)
    apart[np.arange(len(fundamentals)), :, np.arange(len(fundamentals))] = np.inf
    return np.where((hz <= HIGHEST_PARTIAL_HZ) & (apart.min(axis=2) >= width_hz), hz, 0.0)


@lru_cache(maxsize=64)
def _hann(n: int) -> Samples:
    return np.hanning(n).astype(np.float32)
