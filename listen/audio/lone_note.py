"""The physics of one note that was struck alone, whatever still rings from before."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.audio.peaks import find_spectrum_peaks
from listen.audio.spectrum import describe_notes
from listen.audio.strum_sound import take_strum
from listen.evidence import Measured
from listen.theory import Pitch


def measure_lone_stiffness(
    samples: NDArray[np.float32],
    pitch: Pitch,
    *,
    sample_rate_hz: int,
    span_s: tuple[float, float],
    tuning_offset_cents: float = 0.0,
) -> Measured | None:
    """Measure ln B of a note as if nothing else sounded.

    Among the partials of a ringing string an octave or two lower none of the note's own is left; but that string has
    faded, so the stronger peak at each place is the new note's.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono
    pitch : Pitch
        That was struck.
    sample_rate_hz : int
    span_s : (float, float)
        From its onset to the next one.
    tuning_offset_cents : float
        Of the recording.

    Returns
    -------
    Measured or None
    """
    onset_s, until_s = span_s
    sound = take_strum(
        samples,
        sample_rate_hz=sample_rate_hz,
        onset_s=onset_s,
        until_s=until_s,
        tuning_offset_cents=tuning_offset_cents,
    )
    peaks = find_spectrum_peaks(sound.samples, onset=sound.onset, end=sound.end)
    if peaks is None:
        return None
    return describe_notes(sound.samples, peaks, (pitch,), onset=sound.onset, end=sound.end)[0].stiffness
