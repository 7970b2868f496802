"""What is no chord: silence, hum, tones, noise, speech, drums, told from plucked strings by what strings do.

A string holds its pitch while its level falls; its sound lies where the harmonics of its note lie. A voice glides, a
drum's and a knock's modes die or wander, noise has its energy everywhere, hum and test tones neither fall nor waver.
Three cues are weighed: how far the strongest peaks move between the first and the second half of the sound, the
share of the energy that the sounding notes' partials hold, and how sure the ear is of its surest note.

Conventions: levels in dB against full scale; cents; a higher score is more like strings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import EAR_RATE_HZ
from listen.audio.peaks import SKIP_S, Peaks
from listen.audio.spectrum import NotePhysics

Samples = NDArray[np.float32]
Array = NDArray[np.float64]

SILENT_DB = -70.0
"""A recorder's own noise; the quietest strum that was recorded for this project lies at -45."""
LOWEST_HZ, HIGHEST_HZ = 70.0, 5000.0  # where strings have their partials; judged, not measured
HIGHEST_DRIFT_HZ = 3000.0  # above it a string's own partials waver; judged
N_DRIFT_PEAKS = 12
STRONG_DB = 30.0
"""A peak so far under the strongest may be noise, which wavers where a tone does not."""
PARTIAL_BINS, PARTIAL_SHARE = 2.5, 0.002
"""Half a partial's width: in 1/T for the window, and as a share of its frequency for two polarisations."""

# Found by logistic regression on 774 strums and notes (mixed, rendered, recorded; clean, driven, noisy, coded) against
# 205 pieces of speech, song, drums, noise, clicks and moving tones in which the ear had heard some note.
DRIFT_WEIGHT, SHARE_WEIGHT, SURENESS_WEIGHT, CONSTANT = -2.0, 5.3, 1.18, -4.2
MOST_SURENESS = 5.6  # log-odds beyond it count no more; judged, not measured
LEAST_SCORE = 0.0  # even odds of that regression

STEADY_DB, STEADY_CENTS = 1.0, 0.7
"""Change of every strong peak, and drift, of hum and tones between the halves: 198 of 198 stay within them; the most
even of 1,400 strums, an electric guitar clipped hard, changed by 1.6 dB."""
FAST_FALL_DB_S, LEAST_SURENESS_OF_FAST = -50.0, 3.6
"""Drums, claps and knocks fall by 50 to 170 dB/s. So does a palm-muted chord (median 60), but the ear is sure of that.
Of 119 drums in which it heard some note, 12 pass by their score and 3 with this; 2 of 54 palm-muted chords are lost."""
GLIDE_CENTS = 6.0  # a pitch that moves farther between the halves is a voice or a slide; judged


@dataclass(frozen=True, slots=True)
class SoundCues:
    """What tells strings from other sounds.

    Parameters
    ----------
    level_db : float
        Of the first half second.
    drift_cents : float
        How far the strongest peaks move from the first to the second half: their median, weighted by amplitude.
    fall_db_s : float
        How fast the strongest peaks fall; negative for a sound that dies away.
    largest_change_db : float
        Of the level of any of the six strongest peaks between the halves.
    share : float
        Of the energy from 70 to 5000 Hz, what lies at partials of the sounding notes.
    sureness : float
        Highest log-odds of any pitch.
    """

    level_db: float
    drift_cents: float
    fall_db_s: float
    largest_change_db: float
    share: float
    sureness: float

    @property
    def score(self) -> float:
        """How much like strings, in log-odds."""
        return (
            DRIFT_WEIGHT * float(np.log1p(self.drift_cents))
            + SHARE_WEIGHT * self.share
            + SURENESS_WEIGHT * min(self.sureness, MOST_SURENESS)
            + CONSTANT
        )

    @property
    def is_steady(self) -> bool:
        """Whether nothing changes, as in hum and test tones."""
        return self.largest_change_db < STEADY_DB and self.drift_cents < STEADY_CENTS

    @property
    def is_knock(self) -> bool:
        """Whether it dies away faster than strings do, palm-muted ones apart, of whose pitch the ear is sure."""
        return self.fall_db_s < FAST_FALL_DB_S and self.sureness < LEAST_SURENESS_OF_FAST


def measure_cues(
    samples: Samples, peaks: Peaks | None, notes: Sequence[NotePhysics], sureness: float, *, onset: int, end: int
) -> SoundCues:
    """Measure the cues of a sound.

    Parameters
    ----------
    samples : ndarray, shape (n,), 16 kHz mono
    peaks : Peaks or None
        Its spectrum; None where it is too short or silent.
    notes : sequence of NotePhysics
        What seems to sound.
    sureness : float
        Highest log-odds of any pitch.
    onset, end : int
        In samples.
    """
    head = samples[onset : min(end, onset + EAR_RATE_HZ // 2)]
    level_db = 10.0 * float(np.log10(np.square(head, dtype=np.float64).mean() + 1e-15)) if len(head) else -150.0
    if peaks is None:
        return SoundCues(level_db, 100.0, -1000.0, 100.0, 0.0, sureness)
    drift_cents, fall_db_s, largest_change_db = _compare_halves(samples, peaks, onset=onset)
    return SoundCues(level_db, drift_cents, fall_db_s, largest_change_db, _measure_share(peaks, notes), sureness)


def find_no_chord_reason(cues: SoundCues, *, any_note: bool) -> str | None:
    """Say in one sentence why a sound is no chord; None where strings may be sounding.

    Examples
    --------
    >>> find_no_chord_reason(SoundCues(-20.0, 0.1, 0.0, 0.1, 0.9, 8.0), any_note=True)
    'This is a steady hum or tone: nothing is plucked in it.'
    >>> find_no_chord_reason(SoundCues(-20.0, 0.5, -12.0, 20.0, 0.9, 8.0), any_note=True) is None
    True
    """
    if cues.level_db < SILENT_DB:
        return f"There is next to no sound ({cues.level_db:.0f} dB): record nearer to the guitar, or louder."
    if cues.is_steady:
        return "This is a steady hum or tone: nothing is plucked in it."
    if any_note and cues.score >= LEAST_SCORE and not cues.is_knock:
        return None
    if cues.is_knock:
        return "It dies away at once, as a drum, a clap or a spoken word does: no string rings on after it."
    if cues.drift_cents > GLIDE_CENTS and cues.sureness > -2.0:
        return "Its pitch glides as a voice does: no strings are heard holding theirs."
    return "No plucked notes stand out of this sound."


def _compare_halves(samples: Samples, peaks: Peaks, *, onset: int) -> tuple[float, float, float]:
    """Return drift in cents, fall in dB a second, and the largest change in dB of the strongest peaks."""
    n_half = int(0.5 * EAR_RATE_HZ / peaks.resolution_hz)
    first = onset + round(SKIP_S * EAR_RATE_HZ)
    n_fft = 2 ** int(np.ceil(np.log2(4 * n_half)))
    taper = np.hanning(n_half).astype(np.float32)
    halves = [
        20.0 * np.log10(np.abs(np.fft.rfft(samples[start : start + n_half] * taper, n_fft)) + 1e-9)
        for start in (first, first + n_half)
    ]
    bin_hz, half_s = EAR_RATE_HZ / n_fft, n_half / EAR_RATE_HZ
    usable = (peaks.frequencies_hz > LOWEST_HZ) & (peaks.frequencies_hz < HIGHEST_DRIFT_HZ)
    strongest = np.flatnonzero(usable)[np.argsort(-peaks.levels_db[usable])][:N_DRIFT_PEAKS]
    drifts, changes, weights = [], [], []
    for hz, level_db in zip(peaks.frequencies_hz[strongest], peaks.levels_db[strongest], strict=True):
        reach_hz = max(1.5 / half_s, 0.015 * hz)
        low, high = max(1, int((hz - reach_hz) / bin_hz)), int((hz + reach_hz) / bin_hz) + 2
        tops = [low + int(np.argmax(half[low:high])) for half in halves]
        places = [_interpolate(half, top) for half, top in zip(halves, tops, strict=True)]
        drifts.append(1200.0 * abs(float(np.log2(places[1] / places[0]))))
        changes.append(float(halves[1][tops[1]] - halves[0][tops[0]]))
        weights.append(10.0 ** (level_db / 20.0))
    if not drifts:
        return 100.0, 0.0, 100.0
    order = np.argsort(drifts)
    passed = np.cumsum(np.array(weights)[order])
    drift = float(np.array(drifts)[order][np.searchsorted(passed, 0.5 * passed[-1])])
    fall = float(np.average(changes, weights=weights)) / half_s
    strong = max(weights) * 10.0 ** (-STRONG_DB / 20.0)
    largest = max(abs(change) for change, weight in zip(changes, weights, strict=True) if weight >= strong)
    return drift, fall, largest


def _interpolate(levels: Array, top: int) -> float:
    left, middle, right = (float(level) for level in levels[top - 1 : top + 2])
    if not middle > max(left, right):  # the flank of a peak outside the reach
        return float(top)
    return top + 0.5 * (left - right) / (left - 2.0 * middle + right)


def _measure_share(peaks: Peaks, notes: Sequence[NotePhysics]) -> float:
    """Return the share of the energy that lies at partials of the notes."""
    low, high = (int(hz / peaks.bin_hz) for hz in (LOWEST_HZ, HIGHEST_HZ))
    held = np.zeros(len(peaks.power), bool)
    for note in notes:
        for partial in note.partials:
            half_hz = PARTIAL_BINS * peaks.resolution_hz + PARTIAL_SHARE * partial.frequency_hz
            first = int(np.ceil((partial.frequency_hz - half_hz) / peaks.bin_hz))
            held[max(first, 0) : int((partial.frequency_hz + half_hz) / peaks.bin_hz) + 1] = True
    power = peaks.power[low:high]
    return float(power[held[low:high]].sum() / (power.sum() + 1e-20))
