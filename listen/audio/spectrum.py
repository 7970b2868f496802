"""The physics of each sounding note: its harmonics as found, its pitch in cents, stiffness, brightness and decay.

Conventions: 16 kHz mono with the recording's tuning offset taken out; frequencies in Hz, levels in dB, B without unit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import EAR_RATE_HZ
from listen.audio.peaks import LONGEST_WINDOW_S, SKIP_S, Peaks
from listen.audio.string_fit import UNKNOWN_LN_B, NoteTrack, follow_notes
from listen.evidence import Measured, Partial
from listen.theory import Pitch

Samples = NDArray[np.float32]
Array = NDArray[np.float64]

DECAY_WINDOW = 4096
LAST_OF_PITCH, MOST_APART_CENTS = 6, 15.0
"""Where only harmonics above this one are a note's own, and tell of another pitch than the one it shares, they are sums
in a driven amplifier: F♯3 in a driven F♯5 was 27 cents flat by its harmonics 10 to 12, and 3 by its lowest."""
DECAY_HOP_S = 0.1  # between points of a decay; judged, not measured


@dataclass(frozen=True, slots=True)
class NotePhysics:
    """What the spectrum says about one note; see :class:`listen.evidence.PitchEvidence`.

    Parameters
    ----------
    pitch : Pitch
    deviation_cents : float or None
        Of the fundamental against the tempered pitch.
    deviation_weight : float
        How many independent partials say so; 0 where all are shared.
    stiffness, brightness, decay_s : Measured or None
    partials : tuple of Partial
    """

    pitch: Pitch
    deviation_cents: float | None
    deviation_weight: float
    stiffness: Measured | None
    brightness: Measured | None
    decay_s: Measured | None
    partials: tuple[Partial, ...]


def describe_notes(
    samples: Samples, peaks: Peaks, pitches: tuple[Pitch, ...], *, onset: int, end: int
) -> tuple[NotePhysics, ...]:
    """Measure each sounding note.

    Parameters
    ----------
    samples : ndarray, shape (n,), 16 kHz mono
    peaks : Peaks
        Of :func:`find_spectrum_peaks`.
    pitches : tuple of Pitch
        All that sound.
    onset, end : int
        In samples.

    Returns
    -------
    tuple of NotePhysics
        In the order of ``pitches``.
    """
    tracks = follow_notes(pitches, peaks)
    decay_levels_db = _measure_frames(samples, onset, end)
    return tuple(_describe(track, decay_levels_db) for track in tracks)


def _describe(track: NoteTrack, frames: tuple[Array, Array] | None) -> NotePhysics:
    alone = [partial for partial in track.partials if not partial.shared]
    ln_b = track.ln_b
    deviation: float | None = None
    n_agreeing = 0
    if track.partials:
        lowest = track.partials[0]
        deviation = 1200.0 * float(np.log2(lowest.frequency_hz / lowest.number / track.pitch.frequency_hz))
    if track.fit.points:
        fitting = {number for number, _, _ in track.fit.points}
        agreeing = [partial for partial in alone if partial.number in fitting]
        own = _estimate_deviation(track.pitch, agreeing, float(np.exp(ln_b.value)))
        if min(fitting) <= LAST_OF_PITCH or deviation is None or abs(own - deviation) <= MOST_APART_CENTS:
            deviation, n_agreeing = own, len(fitting)
    return NotePhysics(
        track.pitch,
        deviation,
        float(n_agreeing),
        ln_b if ln_b.sigma < UNKNOWN_LN_B else None,
        _estimate_brightness(alone),
        _estimate_decay(alone, frames),
        tuple(track.partials),
    )


def _estimate_deviation(pitch: Pitch, alone: list[Partial], stiffness: float) -> float:
    """Return the deviation that a note's own partials agree on, the loud ones above all: their weighted median.

    Not the fit's own f0, which trusts high partials more than those that make the pitch.
    """
    number = np.array([partial.number for partial in alone], np.float64)
    unstretched = np.sqrt((1.0 + stiffness) / (1.0 + stiffness * number**2))
    found = np.array([partial.frequency_hz for partial in alone]) / number * unstretched
    cents = 1200.0 * np.log2(found / pitch.frequency_hz)
    weight = 10.0 ** (np.array([partial.level_db for partial in alone]) / 20.0)
    order = np.argsort(cents)
    passed = np.cumsum(weight[order]) - 0.5 * weight[order]
    return float(np.interp(0.5 * weight.sum(), passed, cents[order]))


def _estimate_brightness(alone: list[Partial]) -> Measured | None:
    """Fit the level against the octave above the fundamental."""
    if len(alone) < 4:
        return None
    octave = np.log2(np.array([partial.number for partial in alone], np.float64))
    level = np.array([partial.level_db for partial in alone])
    spread = octave - octave.mean()
    slope = float((spread * level).sum() / np.square(spread).sum())
    residual = level - level.mean() - slope * spread
    sigma = np.sqrt(np.square(residual).sum() / (len(alone) - 2) / np.square(spread).sum())
    return Measured(slope, float(sigma))


def _measure_frames(samples: Samples, onset: int, end: int) -> tuple[Array, Array] | None:
    """Measure short spectra in dB every tenth of a second: times (n,) and levels (n, bins)."""
    first = onset + round(2 * SKIP_S * EAR_RATE_HZ)
    segment = samples[first : min(end, first + round(LONGEST_WINDOW_S * EAR_RATE_HZ) + DECAY_WINDOW // 2)]
    hop = round(DECAY_HOP_S * EAR_RATE_HZ)
    if len(segment) < DECAY_WINDOW + 2 * hop:
        return None
    frames = np.lib.stride_tricks.sliding_window_view(segment, DECAY_WINDOW)[::hop]
    spectra = np.abs(np.fft.rfft(frames * np.hanning(DECAY_WINDOW).astype(np.float32)))
    levels = 20.0 * np.log10(spectra / max(float(spectra.max()), 1e-9) + 1e-5)
    return np.arange(len(frames), dtype=np.float64) * DECAY_HOP_S, np.asarray(levels, np.float64)


def _estimate_decay(alone: list[Partial], frames: tuple[Array, Array] | None) -> Measured | None:
    """Fit a straight line to the level of each of the lowest partials, and take their median."""
    if frames is None:
        return None
    times_s, levels = frames
    floor_db = float(np.median(levels)) + 10.0
    rates = []
    for partial in alone[:6]:
        at = round(partial.frequency_hz * DECAY_WINDOW / EAR_RATE_HZ)
        level = levels[:, max(at - 1, 0) : at + 2].max(axis=1)
        heard = level > floor_db
        n_heard = int(np.argmin(heard)) if not heard.all() else len(heard)
        if n_heard < 3:
            continue
        spread = times_s[:n_heard] - times_s[:n_heard].mean()
        rates.append(float(-(spread * level[:n_heard]).sum() / np.square(spread).sum()))
    rates = [rate for rate in rates if rate > 1.0]  # dB a second; less is not a plucked string but beating
    if not rates:
        return None
    rate = float(np.median(rates))
    scatter = float(np.median(np.abs(np.array(rates) - rate))) * 1.48 if len(rates) > 2 else 0.5 * rate
    sigma = (scatter + 1.0) / np.sqrt(len(rates))
    return Measured(60.0 / rate, 60.0 / rate * min(1.0, sigma / rate))
