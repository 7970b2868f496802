"""How far single notes of a strum are out of tune, once it is known which notes sound."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.audio.peaks import find_spectrum_peaks
from listen.audio.spectrum import describe_notes
from listen.audio.strum_sound import take_strum
from listen.theory import Pitch

Samples = NDArray[np.float32]


def measure_cents(
    samples: Samples,
    pitches: Sequence[Pitch],
    *,
    sample_rate_hz: int,
    span_s: tuple[float, float],
    tuning_offset_cents: float,
) -> dict[Pitch, tuple[float, float]]:
    """Measure how far each note is out of tune.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono
    pitches : sequence of Pitch
        All that sound.
    sample_rate_hz : int
    span_s : (float, float)
        From the stroke to where another begins, in seconds from the first sample.
    tuning_offset_cents : float
        Of the recording; it is taken out.

    Returns
    -------
    dict of Pitch to (float, float)
        Cents, and how many partials of its own say so; without notes whose partials all lie under others.
    """
    sound = take_strum(
        samples, sample_rate_hz=sample_rate_hz, onset_s=span_s[0], until_s=span_s[1],
        tuning_offset_cents=tuning_offset_cents,
    )  # fmt: skip
    peaks = find_spectrum_peaks(sound.samples, onset=sound.onset, end=sound.end)
    if peaks is None:
        return {}
    notes = describe_notes(sound.samples, peaks, tuple(sorted(pitches)), onset=sound.onset, end=sound.end)
    return {
        note.pitch: (note.deviation_cents, note.deviation_weight)
        for note in notes
        if note.deviation_cents is not None and note.deviation_weight > 0.0
    }
