"""What stands faintly out of the noise is a string only where no amplifier made it."""

import numpy as np

from listen.audio.faint import measure_fundamentals
from listen.audio.peaks import find_spectrum_peaks
from listen.audio.spectrum import describe_notes
from listen.theory import Pitch
from tests.audio.sounds import Samples, make_plucked

RATE_HZ = 16_000
POWER_CHORD = (45, 52, 57)
THIRD, TRITONE = Pitch(61), Pitch(51)


def _measure(samples: Samples) -> dict[Pitch, float]:
    onset, end = round(0.3 * RATE_HZ), len(samples)
    peaks = find_spectrum_peaks(samples, onset=onset, end=end)
    assert peaks is not None
    notes = describe_notes(samples, peaks, tuple(map(Pitch, POWER_CHORD)), onset=onset, end=end)
    return measure_fundamentals(peaks, notes, (THIRD, TRITONE))


def _touched(midi: int, level_db: float) -> Samples:
    return np.asarray(10.0 ** (level_db / 20.0) * make_plucked((midi,), sample_rate_hz=RATE_HZ, seed=3), np.float32)


def test_a_string_that_was_touched_stands_out_and_one_that_was_not_does_not() -> None:
    noise = np.random.default_rng(5).normal(0.0, 1e-4, 2 * RATE_HZ)
    chord = make_plucked(POWER_CHORD, sample_rate_hz=RATE_HZ)
    chord = (chord + noise[: len(chord)]).astype(np.float32)
    bare, touched = _measure(chord), _measure(chord + _touched(61, -40.0))
    assert bare[THIRD] < 12.0
    assert touched[THIRD] > 20.0
    assert abs(touched[TRITONE] - bare[TRITONE]) < 6.0


def test_an_overdriven_amplifier_leaves_tones_that_prove_nothing() -> None:
    chord = make_plucked(POWER_CHORD, sample_rate_hz=RATE_HZ)
    assert _measure(chord)
    driven = np.tanh(20.0 * (chord / np.abs(chord).max() + 0.1))
    assert not _measure(driven.astype(np.float32))
