"""Notes below what is listened for are told by their harmonics; power chords are not taken for them."""

from __future__ import annotations

import numpy as np
import pytest

from listen.audio import load_ear, trained_ear
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


def test_a_low_note_is_told_though_its_octave_is_struck_three_times_as_hard() -> None:
    note = Pitch.parse("E1")
    both = ring(note.frequency_hz) + 3.0 * ring(2.0 * note.frequency_hz)
    assert hear(np.asarray(both, np.float32), "E2", "B2") == note


def test_a_power_chord_and_a_note_that_is_heard_are_no_low_note() -> None:
    root, fifth = Pitch.parse("E2"), Pitch.parse("B2")
    assert hear(ring(root.frequency_hz, fifth.frequency_hz), "E2", "B2") is None
    assert hear(ring(root.frequency_hz), "E2") is None
    assert hear(ring(root.frequency_hz)) is None


def test_overdriven_power_and_barre_chords_are_no_low_note_though_every_multiple_sounds() -> None:
    root_hz = Pitch.parse("G2").frequency_hz
    for frets, names in (((0, 7), ("G2", "D3")), ((0, 7, 12, 16), ("G2", "D3", "G3", "B3"))):
        clean = ring(*(root_hz * 2.0 ** (fret / 12.0) for fret in frets))
        driven = np.asarray(np.tanh(8.0 * clean + 0.1), np.float32)
        assert hear(driven, *names) is None


def test_a_barre_chord_over_a_bass_guitar_on_its_root_is_no_low_note() -> None:
    """Six strings of F major stand on harmonics 2, 3, 4, 5, 6 and 8 of F1."""
    chord = ("F2", "C3", "F3", "A3", "C4", "F4")
    low_hz = Pitch.parse("F1").frequency_hz
    both = 2.0 * ring(low_hz) + ring(*(Pitch.parse(name).frequency_hz for name in chord))
    assert hear(np.asarray(both, np.float32), *chord) is None
    assert hear(np.asarray(both, np.float32), "F2", "C3") == Pitch.parse("F1")


@pytest.mark.parametrize("physics", [True, False])
def test_a_low_note_is_told_though_a_string_is_surely_plucked(physics: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trained_ear, "SURELY_PLUCKED", -100.0)
    samples = np.concatenate([np.zeros(RATE_HZ // 4, np.float32), ring(Pitch.parse("F#1").frequency_hz)])
    heard = load_ear().hear(samples, sample_rate_hz=RATE_HZ, onset_s=0.25, physics=physics)
    assert any(one.log_odds > 0.0 for one in heard.pitches)  # some harmonic of it
    assert heard.no_chord_reason is not None
    assert "One low note sounds, F♯1" in heard.no_chord_reason.replace("F#1", "F♯1")
