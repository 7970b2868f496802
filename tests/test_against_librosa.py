"""What librosa (0.10 or later) says of the same pitches and sounds: an outside check of four rooms in one file.

It compiles for a minute as it is imported, in every process that does; so no other test imports it.
"""

from __future__ import annotations

import math

import librosa
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from listen.audio import estimate_hum, estimate_tuning_offset
from listen.instrument import STANDARD, find_string_kinds
from listen.synthesis import PluckedNote, Tone, render_notes
from listen.theory import Pitch
from listen.transcription import hear_single_notes
from tests.audio.sounds import make_plucked
from tests.audio.test_hum import RATE_HZ as HUM_RATE_HZ
from tests.audio.test_hum import sing

RATE_HZ = 22_050
E_MAJOR = (40, 47, 52, 56, 59, 64)


def test_names_and_frequencies_of_pitches() -> None:
    for midi in range(12, 128):
        pitch = Pitch(midi)
        assert librosa.note_to_midi(pitch.name) == midi
        assert Pitch.parse(librosa.midi_to_note(midi)) == pitch
        assert pitch.frequency_hz == pytest.approx(librosa.midi_to_hz(midi))


@given(st.floats(8.5, 12_000))
def test_the_nearest_pitch(frequency_hz: float) -> None:
    exact = float(librosa.hz_to_midi(frequency_hz))
    assert abs(Pitch.nearest(frequency_hz).midi - exact) <= 0.5 + 1e-6


@pytest.mark.parametrize("offset_cents", [-35, 15])
def test_the_tuning_offset_of_a_chord(offset_cents: int) -> None:
    """By ``estimate_tuning``: a histogram of the peaks of piptrack, a cent fine."""
    tuned = tuple(midi + offset_cents / 100.0 for midi in E_MAJOR)
    samples = make_plucked(tuned, sample_rate_hz=16_000, stiffness=2e-5)
    ours = estimate_tuning_offset(samples, sample_rate_hz=16_000, onset_s=0.3).value
    theirs = 100.0 * float(librosa.estimate_tuning(y=samples, sr=16_000, n_fft=8_192, resolution=0.01))
    assert ours == pytest.approx(theirs, abs=5.0)


def test_the_pitch_of_a_rendered_note() -> None:
    """By ``yin`` (de Cheveigné & Kawahara 2002), within ten cents."""
    tone = Tone(sample_rate_hz=RATE_HZ, room_db=-100.0, detune_cents=0.0, tuning_offset_cents=12.0)
    samples = render_notes([PluckedNote(0.0, Pitch(57), string=2, kind=2, fret=7)], tone=tone, duration_s=1.0)
    f0 = librosa.yin(samples, fmin=110.0, fmax=440.0, sr=RATE_HZ)
    assert 1200 * np.log2(np.median(f0) / 220.0) == pytest.approx(12.0, abs=10.0)


@pytest.mark.parametrize("midi", [45.2, 57.0, 63.8])
def test_the_pitch_of_a_hum(midi: float) -> None:
    """By ``yin`` too, which is written apart from ours, within ten cents."""
    voice = sing(midi, seed=1)
    f0 = librosa.yin(voice, fmin=65.0, fmax=700.0, sr=HUM_RATE_HZ)
    heard = estimate_hum(voice, sample_rate_hz=HUM_RATE_HZ).midi
    assert heard == pytest.approx(float(np.median(librosa.hz_to_midi(f0))), abs=0.1)


def test_the_cents_of_single_strings() -> None:
    """Each note's fundamental as the highest bin of librosa's spectrum, 0.08 Hz fine."""
    kinds = find_string_kinds(STANDARD.open_strings)
    struck = [
        PluckedNote(0.3 + 1.2 * string, pitch, string=string, kind=kinds[string], fret=0, duration_s=1.1)
        for string, pitch in enumerate(STANDARD.open_strings)
    ]
    tone = Tone(tuning_offset_cents=-18.0, sample_rate_hz=RATE_HZ, seed=4)
    samples = render_notes(struck, tone=tone, duration_s=8.6)
    notes, _ = hear_single_notes(samples, sample_rate_hz=RATE_HZ)
    assert [note.heard.pitch for note in notes] == list(STANDARD.open_strings)
    window, n_fft = 16_384, 2**18
    bins_hz = librosa.fft_frequencies(sr=RATE_HZ, n_fft=n_fft)
    for note in notes:
        first = round((note.onset_s + 0.1) * RATE_HZ)
        nominal_hz = note.heard.pitch.frequency_hz
        piece = np.pad(samples[first : first + window], (n_fft - window) // 2)
        spectrum = np.abs(librosa.stft(piece, n_fft=n_fft, win_length=window, center=False)[:, 0])
        spectrum[np.abs(bins_hz / nominal_hz - 1.0) > 0.03] = 0.0
        strongest_hz = bins_hz[spectrum.argmax()]
        assert note.cents == pytest.approx(1200.0 * math.log2(strongest_hz / nominal_hz), abs=3.0)
