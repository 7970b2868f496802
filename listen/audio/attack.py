"""The attack: when each note of a strum begins, and so which way the hand went.

The strings of a strum are struck a few milliseconds apart. A band around a partial that no other note has near it
shows when its note begins: smoothed by a symmetrical window, a step passes half its height at the very moment of the
step, however wide the window is; so the window can be as wide as the neighbours demand.

Conventions: 16 kHz mono; seconds; a downstroke sounds the low strings first.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import EAR_RATE_HZ
from listen.audio.spectrum import NotePhysics
from listen.evidence import Direction, Measured

Samples = NDArray[np.float32]

BEFORE_S, AFTER_S = 0.09, 0.33  # what is looked at around a strum's onset: spread and settling; judged
BLOCK = 16
"""Demodulated bands are kept at 1 ms."""
BLOCK_S = BLOCK / EAR_RATE_HZ
LEAST_ISOLATION_HZ = 30.0  # a partial with a nearer neighbour has no band of its own; judged
MOST_ISOLATION_HZ = 160.0  # half-width of a band: wider ones time no better; judged
WEAKEST_DB = -50.0  # partials so far under the strongest are noise; judged
BANDS_A_NOTE = 4
LEAST_RISE = 2.5
"""Level after over level before: less, and the note was ringing already."""
LATEST_S = 0.2
"""A strum's last string begins before this; what a band settles at is read in the second half of it."""
PLATEAU_QUANTILE = 0.7  # of the level there; judged, not measured
STAY_SHARE = 0.4
"""Share of that level which a band must hold for a whole window to count as begun: a splash does not, beating does."""
SIGMA_SHARE, WEAK_BAND_DB = 0.035, 60.0
"""Standard deviation of one band's onset as a share of its window, ten times that for a band so far under the
strongest; with these, 68 % of 671 onsets in 180 synthesised strums lay within one sigma and 95 % within two."""
LEAST_SIGMA_S = 0.0012
"""A pluck is no step: the wave it leaves takes a period or two to fill the band."""
DISAGREEMENT_SIGMAS = 3.0  # bands of a note that lie farther apart are left out; judged
DIRECTION_SIGMAS = 2.0  # the slope of onsets over strings must stand out so far to tell a way; judged


def estimate_onsets(
    samples: Samples, notes: tuple[NotePhysics, ...], *, onset: int, end: int
) -> tuple[Measured | None, ...]:
    """Estimate when each note begins, against the first of them.

    Parameters
    ----------
    samples : ndarray, shape (n,), 16 kHz mono
    notes : tuple of NotePhysics
        All that sound, with their partials.
    onset, end : int
        In samples.

    Returns
    -------
    tuple of Measured or None
        Seconds, in the order of ``notes``; None where no partial of the note stands alone.
    """
    first = onset - round(BEFORE_S * EAR_RATE_HZ)
    n_blocks = round((BEFORE_S + AFTER_S) / BLOCK_S)
    segment = np.zeros(n_blocks * BLOCK, np.float32)
    low, high = max(first, 0), min(first + len(segment), end, len(samples))
    if high - low < 2 * BLOCK:
        return (None,) * len(notes)
    segment[low - first : high - first] = samples[low:high]
    bands = _choose_bands(notes)
    raw = []
    for own in bands:
        estimates = [
            estimate
            for hz, isolation_hz, level_db in own
            if (estimate := _estimate_band_onset(segment, hz, isolation_hz, level_db)) is not None
        ]
        raw.append(_combine(estimates))
    known = [onset_s for onset_s in raw if onset_s is not None]
    if not known:
        return (None,) * len(notes)
    earliest_s = min(onset_s.value for onset_s in known)
    return tuple(None if onset_s is None else Measured(onset_s.value - earliest_s, onset_s.sigma) for onset_s in raw)


def estimate_direction(notes: tuple[NotePhysics, ...], onsets: tuple[Measured | None, ...]) -> Direction | None:
    """Tell a downstroke from an upstroke by the slope of onset against pitch; None where it is too flat to tell."""
    pairs = [(note.pitch.midi, onset_s) for note, onset_s in zip(notes, onsets, strict=True) if onset_s is not None]
    if len(pairs) < 2:
        return None
    midi = np.array([pair[0] for pair in pairs], np.float64)
    onset = np.array([pair[1].value for pair in pairs])
    weight = np.array([1.0 / pair[1].sigma ** 2 for pair in pairs])
    spread = midi - (weight * midi).sum() / weight.sum()
    slope = float((weight * spread * onset).sum() / (weight * spread**2).sum())
    sigma = float(1.0 / np.sqrt((weight * spread**2).sum()))
    if abs(slope) < DIRECTION_SIGMAS * sigma:
        return None
    return "down" if slope > 0.0 else "up"


def _choose_bands(notes: tuple[NotePhysics, ...]) -> list[list[tuple[float, float, float]]]:
    """Choose each note's partials that stand farthest from those of others: (frequency, isolation, level)."""
    all_hz = [np.array([p.frequency_hz for p in note.partials if p.level_db > WEAKEST_DB] or [0.0]) for note in notes]
    chosen = []
    for index, note in enumerate(notes):
        others_hz = np.concatenate([hz for k, hz in enumerate(all_hz) if k != index] or [np.zeros(1)])
        own = []
        for partial in note.partials:
            if partial.shared or partial.level_db < WEAKEST_DB:
                continue
            isolation_hz = float(np.abs(others_hz - partial.frequency_hz).min())
            # its own neighbours count as well: the note's partials are its fundamental apart
            isolation_hz = min(isolation_hz, 0.9 * note.pitch.frequency_hz, MOST_ISOLATION_HZ)
            if isolation_hz >= LEAST_ISOLATION_HZ:
                worth = partial.level_db + 20.0 * float(np.log10(isolation_hz))
                own.append((worth, partial.frequency_hz, isolation_hz, partial.level_db))
        own.sort(reverse=True)
        chosen.append([(hz, isolation_hz, level_db) for _, hz, isolation_hz, level_db in own[:BANDS_A_NOTE]])
    return chosen


def _estimate_band_onset(
    segment: Samples, frequency_hz: float, isolation_hz: float, level_db: float
) -> Measured | None:
    # the carrier of a block is that of the first, turned: few exponentials are needed
    turn = np.exp(-2j * np.pi * frequency_hz / EAR_RATE_HZ * np.arange(BLOCK)).astype(np.complex64)
    blocks = segment.reshape(-1, BLOCK) @ turn
    blocks *= np.exp(-2j * np.pi * frequency_hz * BLOCK_S * np.arange(len(blocks)))
    # a Hann window's first zero lies at 2/length
    n_window = round(2.0 / isolation_hz / BLOCK_S) | 1
    taper = np.hanning(n_window + 2)[1:-1]
    level = np.abs(np.convolve(blocks, taper / taper.sum(), mode="same"))
    start = n_window // 2
    rest = round((BEFORE_S - 0.03) / BLOCK_S) - start
    before = float(np.median(level[start : start + max(rest, 3)]))
    # what the note settles at: a neighbour's attack splashes into the band too, but does not stay
    latest = round((BEFORE_S + LATEST_S) / BLOCK_S)
    plateau = float(np.quantile(level[latest // 2 : latest], PLATEAU_QUANTILE))
    if plateau < LEAST_RISE * before or plateau <= 0.0:
        return None
    stays = np.lib.stride_tricks.sliding_window_view(level, n_window).min(axis=1)[:latest]
    risen = np.flatnonzero(stays > before + STAY_SHARE * (plateau - before))
    if len(risen) == 0:
        return None
    # its first maximum after that is the height of the step
    start = int(risen[0])
    height = float(level[start : start + n_window + 1].max())
    half = 0.5 * (height + before)
    below = np.flatnonzero(level[: start + n_window] < half)
    below = below[below < start + n_window // 2 + 1]
    if len(below) == 0:
        return None
    at = int(below[-1])
    step = float(level[at + 1] - level[at])
    sigma_s = SIGMA_SHARE * n_window * BLOCK_S * 10.0 ** (-level_db / WEAK_BAND_DB)
    fraction = (half - float(level[at])) / step if step > 0.0 else 0.5
    return Measured((at + min(fraction, 1.0) + 0.5) * BLOCK_S - BEFORE_S, sigma_s)


def _combine(estimates: list[Measured]) -> Measured | None:
    """Combine a note's bands, the better the more they weigh; where they disagree the answer is less sure."""
    if not estimates:
        return None
    value = np.array([estimate.value for estimate in estimates])
    weight = np.array([1.0 / estimate.sigma**2 for estimate in estimates])
    # a weighted median first: one band in which another note was not foreseen must not move the answer
    order = np.argsort(value)
    half = np.searchsorted(np.cumsum(weight[order]), 0.5 * weight.sum())
    apart = np.minimum(np.abs(value - value[order][half]) * np.sqrt(weight), DISAGREEMENT_SIGMAS)
    agreeing = weight * (apart < DISAGREEMENT_SIGMAS)
    excess = max(1.0, float(np.square(apart).sum() / max(len(value) - 1, 1)))
    sigma = np.sqrt(excess / agreeing.sum() + LEAST_SIGMA_S**2)
    return Measured(float((agreeing * value).sum() / agreeing.sum()), float(sigma))
