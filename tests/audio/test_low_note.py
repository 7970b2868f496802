"""Notes below what is listened for are told by their harmonics; power chords are not taken for them."""

from __future__ import annotations

import numpy as np
import pytest

from listen.audio.low_note import find_low_note
from listen.audio.peaks import find_spectrum_peaks
from listen.theory import Pitch

RATE_HZ = 16_000


def ring(*fundamentals_hz: float) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    """Strings of twenty harmonics that fall as 1/n and die away."""
    time_s = np.arange(RATE_HZ * 3 // 2) / RATE_HZ
    tones = [
        np.sin(2 * np.pi * n * hz * time_s + n) / n * np.exp(-1.5 * time_s)
        for hz in fundamentals_hz
        for n in range(1, 21)
    ]
    return np.asarray(0.1 * np.sum(tones, axis=0), np.float32)


def hear(samples: np.ndarray[tuple[int], np.dtype[np.float32]], *names: str) -> Pitch | None:
    peaks = find_spectrum_peaks(samples, onset=0, end=len(samples))
    assert peaks is not None
    return find_low_note(peaks, [Pitch.parse(name) for name in names])


@pytest.mark.parametrize("name", ["B0", "E1", "F#1", "G#1"])
def test_a_lone_low_note_is_told_though_an_octave_and_a_fifth_are_heard(name: str) -> None:
    note = Pitch.parse(name)
    assert hear(ring(note.frequency_hz), note.shifted(12).name, note.shifted(19).name) == note


def test_a_power_chord_and_a_note_that_is_heard_are_no_low_note() -> None:
    root, fifth = Pitch.parse("E2"), Pitch.parse("B2")
    assert hear(ring(root.frequency_hz, fifth.frequency_hz), "E2", "B2") is None
    assert hear(ring(root.frequency_hz), "E2") is None
    assert hear(ring(root.frequency_hz)) is None
