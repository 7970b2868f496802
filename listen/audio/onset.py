"""Strums in a recording: where each begins, how loud it is and where it ends.

A strum is found as a burst of new energy over many bands at once (spectral flux on a logarithmic scale). Its strings
are struck one after another: bursts that follow each other closely are one strum.

Conventions: seconds from the first sample; levels in dB against full scale.

References
----------
S. Böck, F. Krebs, M. Schedl, "Evaluating the online capabilities of onset detection methods", ISMIR 2012
(logarithmic filtered spectral flux and its peak picking).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]

HOP_S = 0.005  # of the frames: onsets are told to so much
WINDOW_S = 0.023  # of a frame: short enough to part two strings; judged
FLUX_LAG_S = 0.015  # a rise is measured over so long; judged, not measured
BANDS_PER_OCTAVE = 6
LOWEST_BAND_HZ = 90.0  # above a low E's fundamental, where hands and rooms thump; judged
HIGHEST_BAND_HZ = 6000.0  # above it strings have little that others do not show; judged
FLUX_OVER_LOCAL_MEAN = 0.9
"""In units of a natural logarithm of power per band; a lone string over a ringing chord gives 1.2 to 4."""
STRING_OVER_LOCAL_MEAN = 0.35
"""A later string of the same strum may rise less: its bands already sound."""
STRING_GAP_S = 0.1
"""Slow deliberate strums take 10 to 30 ms a string, but a thumb may wait: 20 of 85 recorded open chords had a gap."""
LONGEST_SPREAD_S = 0.2
"""The slowest recorded open chords took 0.19 s; strums of a part at six a second are 0.167 s apart but whole."""
SLOWEST_SPREAD_S, ALONE_S = 0.6, 0.8
"""Strings that sound within so long, and nothing beside them for the second, are one deliberate strum: 46 of 339
recorded strums are gathered from two or three groups of strings, the slowest .44 s apart; of strokes in a part none
stands alone like that."""
QUIETEST_DB = -24.0
"""Against the loudest strum of the recording."""
SOFT_DB, SOFT_FLUX = -12.0, 5.0
"""What is so much softer than the loudest must begin as clearly: of 339 recorded strums 35 end with a hand that is laid
on the strings, 13 to 25 dB softer, with a flux of 1.1 to 5; a strum out of silence has 5 to 9."""
OUT_OF_QUIET_DB = 12.0
"""A soft strum that rises by so much over what sounded before is one: a hand is laid on strings that ring."""
ABSOLUTE_FLOOR_DB = -75.0
"""Below this a recorder's own noise begins."""
LEAST_RISE = 1.15
"""Peak over the level before it."""
ATTACK_SHARE = 0.2
"""The onset is where the level passes this share of the attack's peak (the networks were trained on that moment)."""
END_DB = 40.0
"""A strum has ended when it has fallen so far, or when the next begins."""


@dataclass(frozen=True, slots=True)
class StrumOnset:
    """One strum in a recording.

    Parameters
    ----------
    onset_s, end_s : float
    level_db : float
        Mean level of its first 0.3 s against full scale.
    later_s : tuple of float
        Where later strings of a slow strum begin, if these may also be a strum of their own.
    """

    onset_s: float
    end_s: float
    level_db: float
    later_s: tuple[float, ...] = ()


def find_strums(samples: Samples, *, sample_rate_hz: int) -> tuple[StrumOnset, ...]:
    """Find the strums of a recording in time order.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono
    sample_rate_hz : int

    Returns
    -------
    tuple of StrumOnset
        Empty for silence. Other sharp sounds (a clap, a syllable) are found too: what they are is asked later.

    Examples
    --------
    >>> time_s = np.arange(24000) / 16000
    >>> tone = np.where(time_s > 0.5, np.sin(2 * np.pi * 196 * time_s) * np.exp(-3 * (time_s - 0.5)), 0)
    >>> [round(strum.onset_s, 1) for strum in find_strums(tone.astype(np.float32), sample_rate_hz=16000)]
    [0.5]
    """
    hop = max(1, round(HOP_S * sample_rate_hz))
    level = _measure_level(samples, hop)
    if len(level) < 4 or 20 * np.log10(level.max() + 1e-12) < ABSOLUTE_FLOOR_DB:
        return ()
    flux = measure_flux(samples, sample_rate_hz=sample_rate_hz)[: len(level)]
    groups = _group(_pick_peaks(flux))
    groups = [group for group in groups if _rises(level, group[0], group[-1])]
    found: dict[int, tuple[bool, list[int]]] = {}  # whether a strum begins clearly, and where its later strings do
    for burst in _join_alone(groups):
        peaks = [peak for group in burst for peak in group]
        later = [_refine(level, group[0], group[-1]) for group in burst[1:]]
        found[_refine(level, peaks[0], peaks[-1])] = _is_clear(flux, level, peaks), later
    found = found or {_refine(level, 0, int(np.argmax(level))): (True, [])}
    starts = sorted(found)
    hop_s = hop / sample_rate_hz
    strums = []
    for start, following in zip(starts, [*starts[1:], len(level)], strict=True):
        head = level[start : min(start + round(0.3 / HOP_S), following)]
        level_db = 10 * np.log10(float(np.square(head).mean()) + 1e-15)
        later = found[start][1]
        last = max([start, *later])
        faded = np.flatnonzero(level[last:following] < head.max() * 10 ** (-END_DB / 20))
        end = last + int(faded[0]) if len(faded) else following
        later_s = tuple(place * hop_s for place in later if start < place < end)
        strums.append(StrumOnset(start * hop_s, end * hop_s, float(level_db), later_s))
    loudest_db = max(strum.level_db for strum in strums)
    floors_db = [loudest_db + (QUIETEST_DB if found[start][0] else SOFT_DB) for start in starts]
    return tuple(
        strum
        for strum, floor_db in zip(strums, floors_db, strict=True)
        if strum.level_db > max(floor_db, ABSOLUTE_FLOOR_DB)
    )


def _measure_level(samples: Samples, hop: int) -> NDArray[np.float64]:
    """RMS of 10 ms blocks (two hops, the first weighing more)."""
    n_hops = len(samples) // hop
    power = np.square(samples[: n_hops * hop], dtype=np.float64).reshape(n_hops, hop).mean(axis=1)
    rms = np.sqrt(power)
    following = np.append(rms[1:], rms[-1:])
    return np.asarray(0.5 * np.maximum(rms, following) + 0.5 * rms)


def measure_flux(samples: Samples, *, sample_rate_hz: int) -> NDArray[np.float64]:
    """Measure how much new energy appears at each hop of 5 ms, as a mean over bands of rises in log power.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono
    sample_rate_hz : int

    Returns
    -------
    ndarray, shape (n_hops,)
    """
    hop = max(1, round(HOP_S * sample_rate_hz))
    n_window = 2 ** round(np.log2(WINDOW_S * sample_rate_hz))
    padded = np.pad(samples, (n_window // 2, n_window))
    frames = np.lib.stride_tricks.sliding_window_view(padded, n_window)[::hop][: len(samples) // hop]
    taper = np.hanning(n_window).astype(np.float32)
    edges_hz = LOWEST_BAND_HZ * 2.0 ** (
        np.arange(0, 1 + BANDS_PER_OCTAVE * np.log2(min(HIGHEST_BAND_HZ, 0.45 * sample_rate_hz) / LOWEST_BAND_HZ))
        / BANDS_PER_OCTAVE
    )
    edges = np.unique(np.round(edges_hz * n_window / sample_rate_hz).astype(int))
    power = np.empty((len(frames), len(edges) - 1))
    for first in range(0, len(frames), 512):  # in pieces, so that memory stays flat
        spectrum = np.fft.rfft(frames[first : first + 512] * taper)
        bins = spectrum.real**2 + spectrum.imag**2
        power[first : first + 512] = np.add.reduceat(bins[:, : edges[-1]], edges[:-1], axis=1)
    floor = max(float(power.max(initial=0.0)) * 1e-6, 1e-12)
    logs = np.log(power + floor)
    lag = round(FLUX_LAG_S / HOP_S)
    rises = np.zeros_like(logs)
    rises[lag:] = np.maximum(logs[lag:] - logs[:-lag], 0.0)
    rises[:lag] = np.maximum(logs[:lag] - np.log(floor), 0.0)
    # where a recording is cut off in the midst of sound, the cut itself is no onset
    rises[max(0, (len(samples) - n_window // 2) // hop) :] = 0.0
    return np.asarray(rises.mean(axis=1))


def _pick_peaks(flux: NDArray[np.float64]) -> list[tuple[int, bool]]:
    """Take local maxima over the mean of the half second around them, each with whether it can begin a strum."""
    width = round(0.25 / HOP_S)
    total = np.cumsum(np.pad(flux, (width + 1, width)))
    over = flux - (total[2 * width + 1 :] - total[: -2 * width - 1]) / (2 * width + 1)
    reach = round(0.02 / HOP_S)
    padded = np.pad(flux, reach)
    highest = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1).max(axis=1)
    peaks = np.flatnonzero((flux >= highest) & (over > STRING_OVER_LOCAL_MEAN))
    return [(int(k), bool(over[k] > FLUX_OVER_LOCAL_MEAN)) for k in peaks]


def _group(peaks: list[tuple[int, bool]]) -> list[list[int]]:
    """Gather the strings of one strum; one of them at least must be a clear onset."""
    groups: list[list[int]] = []
    clear: list[bool] = []
    for peak, is_clear in peaks:
        if (
            groups
            and peak - groups[-1][-1] <= STRING_GAP_S / HOP_S
            and peak - groups[-1][0] <= LONGEST_SPREAD_S / HOP_S
        ):
            groups[-1].append(peak)
            clear[-1] |= is_clear
        else:
            groups.append([peak])
            clear.append(is_clear)
    return [group for group, is_clear in zip(groups, clear, strict=True) if is_clear]


def _join_alone(groups: list[list[int]]) -> list[list[list[int]]]:
    """Gather the groups of strings of a slow strum that stands alone."""
    bursts: list[list[list[int]]] = []
    for group in groups:
        if bursts and group[0] - bursts[-1][-1][0] <= ALONE_S / HOP_S:
            bursts[-1].append(group)
        else:
            bursts.append([group])
    strums: list[list[list[int]]] = []
    for burst in bursts:
        is_one = burst[-1][0] - burst[0][0] <= SLOWEST_SPREAD_S / HOP_S
        strums.extend([burst] if is_one else [[group] for group in burst])
    return strums


def _rises(level: NDArray[np.float64], first: int, last: int) -> bool:
    """Tell a stroke from strings being damped: a hand laid on them makes new sound, but less of it."""
    before = float(np.median(level[max(0, first - 10) : max(1, first - 3)]))
    return float(level[first : last + round(0.06 / HOP_S)].max()) > LEAST_RISE * before


def _is_clear(flux: NDArray[np.float64], level: NDArray[np.float64], group: list[int]) -> bool:
    """Tell whether a strum begins clearly: much new sound, or out of quiet."""
    before = float(np.median(level[max(0, group[0] - 10) : max(1, group[0] - 3)]))
    peak = float(level[group[0] : group[-1] + round(0.06 / HOP_S)].max())
    rises_db = 20.0 * np.log10(peak / max(before, 1e-9))
    return float(flux[group].max()) >= SOFT_FLUX or rises_db >= OUT_OF_QUIET_DB


def _refine(level: NDArray[np.float64], first: int, last: int) -> int:
    """Move an onset to where the level passes a share of the attack's peak, or the sound that was there before."""
    begin = max(0, first - round(0.04 / HOP_S))
    peak = float(level[first : last + round(0.1 / HOP_S)].max())
    before = float(np.median(level[max(0, begin - 6) : begin + 1]))
    threshold = max(ATTACK_SHARE * peak, min(1.5 * before, 0.6 * peak))
    above = np.flatnonzero(level[begin : last + round(0.1 / HOP_S)] > threshold)
    return begin + int(above[0]) if len(above) else first
