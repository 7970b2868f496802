"""The tuning offset is found to 3 cents from -50 to +50, whatever the chord and however stiff its strings."""

import numpy as np
import pytest

from listen.audio import estimate_tuning_offset, hear_part, load_ear
from tests.audio.sounds import make_plucked

CHORDS = (
    (40, 47, 52, 56, 59, 64),
    (43, 47, 50, 55, 59, 67),
    (48, 52, 55, 60, 64),
    (50, 57, 62, 66),
    (41, 48, 53, 57, 60, 65),
    (40, 47, 52),
    (64,),
)
MOST_CENTS = 3.0


def _apart(found: float, true: float) -> float:
    """Return the distance on the circle: 50 cents sharp is 50 cents flat of the next semitone."""
    return abs((found - true + 50.0) % 100.0 - 50.0)


@pytest.mark.parametrize("offset_cents", [-50, -30, -10, 0, 20, 40])
def test_the_offset_of_a_chord_is_found_to_3_cents(offset_cents: int) -> None:
    for index, chord in enumerate(CHORDS):
        stiffness = (2e-5, 6e-5, 1.5e-4)[index % 3]
        tuned = tuple(midi + offset_cents / 100.0 for midi in chord)
        samples = make_plucked(tuned, sample_rate_hz=16_000, stiffness=stiffness, seed=index)
        found = estimate_tuning_offset(samples, sample_rate_hz=16_000, onset_s=0.3)
        assert _apart(found.value, offset_cents) < MOST_CENTS, chord
        assert found.sigma < 6.0


@pytest.mark.parametrize("chord", [(72, 76, 79), (76, 81, 84), (79, 83, 86)])
def test_the_offset_of_three_high_strings_is_found_though_none_sounds_low(chord: tuple[int, ...]) -> None:
    samples = make_plucked(tuple(midi + 0.2 for midi in chord), sample_rate_hz=16_000, stiffness=6e-5, seed=1)
    found = estimate_tuning_offset(samples, sample_rate_hz=16_000, onset_s=0.3)
    assert _apart(found.value, 20.0) < MOST_CENTS
    assert found.sigma < 6.0


@pytest.mark.parametrize("offset_cents", [-45, 20])
def test_the_ear_finds_it_closer_and_hears_the_same_notes(offset_cents: int) -> None:
    ear = load_ear()
    for index, chord in enumerate(CHORDS):
        tuned = tuple(midi + offset_cents / 100.0 for midi in chord)
        samples = make_plucked(tuned, sample_rate_hz=16_000, stiffness=1e-4, seed=index)
        heard = ear.hear(samples, sample_rate_hz=16_000, onset_s=0.3)
        assert _apart(heard.tuning_offset_cents, offset_cents) < 1.0
        assert [one.pitch.midi for one in heard.pitches if one.log_odds > 0.0] == list(chord)


def test_silence_and_noise_have_no_sure_offset() -> None:
    silent = estimate_tuning_offset(np.zeros(16_000, np.float32), sample_rate_hz=16_000)
    noise = np.random.default_rng(0).standard_normal(16_000).astype(np.float32)
    assert silent.sigma == 30.0
    assert estimate_tuning_offset(noise, sample_rate_hz=16_000).sigma > 2.0
    assert estimate_tuning_offset(noise[:300], sample_rate_hz=16_000).sigma == 30.0


@pytest.mark.parametrize("seed", [0, 1])
def test_noise_that_goes_on_after_the_last_strum_moves_no_tuning(seed: int) -> None:
    """Traffic drawn as noise that falls above 150 Hz, 6 dB under the guitar: strokes are heard in it, and no pitch."""
    bars = [make_plucked(tuple(midi - 0.4 for midi in CHORDS[at % 5]), sample_rate_hz=16_000) for at in range(9)]
    guitar = np.concatenate([*bars, np.zeros(10 * 16_000, np.float32)])
    hz = np.fft.rfftfreq(len(guitar), 1.0 / 16_000)
    white = np.fft.rfft(np.random.default_rng(seed).standard_normal(len(guitar)))
    noise = np.fft.irfft(white / (1.0 + (hz / 150.0) ** 2), len(guitar))
    noise *= 0.5 * np.std(np.concatenate(bars)) / np.std(noise)
    heard = hear_part([(guitar + noise).astype(np.float32)])
    assert heard.strokes[-1].onset_s > 20.0, "nothing is heard in the noise"
    assert [round(point.offset_cents) for point in heard.tuning] == pytest.approx([-40] * len(heard.tuning), abs=3)
    assert heard.tuning
