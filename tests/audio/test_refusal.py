"""Silence, hum, tones, noise, drums and voices are refused, strings are not."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from listen.audio import find_strums, load_ear
from listen.evidence import StrumEvidence
from listen.instrument import Fretboard, GuitarKind, Shape
from listen.synthesis import StrumStyle, Tone, render_shape
from tests.audio.sounds import Samples, make_plucked

RATE_HZ = 16_000
TIME_S = np.arange(2 * RATE_HZ) / RATE_HZ


def _hear(samples: Samples, onset_s: float | None = None) -> StrumEvidence:
    if onset_s is None:
        strums = find_strums(samples, sample_rate_hz=RATE_HZ)
        onset_s = max(strums, key=lambda strum: strum.level_db).onset_s if strums else 0.0
    return load_ear().hear(samples, sample_rate_hz=RATE_HZ, onset_s=onset_s)


def _to_samples(sound: object, *, peak: float = 0.5) -> Samples:
    array = np.asarray(sound, np.float64)
    return np.asarray(peak * array / np.abs(array).max(), np.float32)


def _make_noise(rng: np.random.Generator) -> Samples:
    hz = np.maximum(np.fft.rfftfreq(len(TIME_S), 1 / RATE_HZ), 20.0)
    spectrum = np.fft.rfft(rng.standard_normal(len(TIME_S))) * hz ** -rng.uniform(0.0, 1.0)
    return _to_samples(np.fft.irfft(spectrum))


def _make_hum(rng: np.random.Generator) -> Samples:
    mains_hz = rng.choice([50.0, 60.0])
    hum = sum(rng.uniform(0.05, 1.0) * np.sin(2 * np.pi * k * mains_hz * TIME_S + k) for k in range(1, 12))
    return _to_samples(hum + 1e-3 * rng.standard_normal(len(TIME_S)))


def _make_tone(rng: np.random.Generator) -> Samples:
    return _to_samples(np.sin(2 * np.pi * rng.uniform(150.0, 2000.0) * TIME_S))


def _make_sweep(rng: np.random.Generator) -> Samples:
    hz = rng.uniform(150.0, 600.0) * np.exp(TIME_S * rng.uniform(0.4, 1.2))
    return _to_samples(np.sin(2 * np.pi * np.cumsum(hz) / RATE_HZ))


def _make_drum(rng: np.random.Generator) -> Samples:
    """Modes of a round membrane and a noise burst (ratios: Fletcher & Rossing, from memory)."""
    hz = rng.uniform(70.0, 300.0) * (1.0 + rng.uniform(0.2, 1.0) * np.exp(-TIME_S / 0.03))
    phase = 2 * np.pi * np.cumsum(hz) / RATE_HZ
    ratios = (1.0, 1.594, 2.136, 2.296, 2.653)
    modes = sum(rng.uniform(0.2, 1.0) * np.sin(r * phase) * np.exp(-TIME_S * r / 0.1) for r in ratios)
    return _to_samples(np.roll(modes + rng.standard_normal(len(TIME_S)) * np.exp(-TIME_S / 0.05), 3000))


def _make_clap(rng: np.random.Generator) -> Samples:
    burst = rng.standard_normal(len(TIME_S)) * np.exp(-TIME_S / rng.uniform(0.005, 0.04))
    return _to_samples(np.roll(burst, 4000))


def _make_voice(rng: np.random.Generator) -> Samples:
    """Harmonics under two formants, gliding and trembling, in syllables."""
    f0_hz = rng.uniform(90.0, 230.0) * np.exp(0.2 * np.sin(2 * np.pi * rng.uniform(0.7, 2.5) * TIME_S + 1.0))
    phase = 2 * np.pi * np.cumsum(f0_hz) / RATE_HZ
    voice = np.zeros(len(TIME_S))
    first_hz, second_hz = rng.uniform(300.0, 800.0), rng.uniform(900.0, 2300.0)
    for k in range(1, 30):
        at_hz = k * f0_hz
        gain = 1.0 / (1.0 + ((at_hz - first_hz) / 100.0) ** 2) + 0.5 / (1.0 + ((at_hz - second_hz) / 150.0) ** 2)
        voice += gain * np.sin(k * phase)
    syllables = np.clip(np.sin(2 * np.pi * rng.uniform(2.0, 4.5) * TIME_S) + 0.3, 0.0, 1.0)
    return _to_samples(voice * syllables + 1e-3 * rng.standard_normal(len(TIME_S)))


def _make_babble(rng: np.random.Generator) -> Samples:
    return _to_samples(sum(rng.uniform(0.3, 1.0) * _make_voice(rng) for _ in range(4)))


MAKERS: dict[str, Callable[[np.random.Generator], Samples]] = {
    "noise": _make_noise,
    "hum": _make_hum,
    "tone": _make_tone,
    "sweep": _make_sweep,
    "drum": _make_drum,
    "clap": _make_clap,
    "voice": _make_voice,
    "babble": _make_babble,
}
N_EACH = 6


@pytest.mark.parametrize("kind", MAKERS)
def test_what_is_no_chord_is_refused_in_a_sentence(kind: str) -> None:
    reasons = [_hear(MAKERS[kind](np.random.default_rng([7, seed]))).no_chord_reason for seed in range(N_EACH)]
    refused = [reason for reason in reasons if reason is not None]
    assert len(refused) >= N_EACH - 1
    assert all(reason[0].isupper() and reason.endswith(".") for reason in refused)


def test_the_sentence_says_what_it_seems_to_be() -> None:
    rng = np.random.default_rng(5)
    assert "hum or tone" in str(_hear(_make_hum(rng)).no_chord_reason)
    assert "hum or tone" in str(_hear(_make_tone(rng)).no_chord_reason)
    assert "next to no sound" in str(_hear(np.zeros(RATE_HZ, np.float32)).no_chord_reason)
    assert "next to no sound" in str(_hear(1e-5 * _make_noise(rng)).no_chord_reason)
    assert "drum, a clap or a spoken word" in str(_hear(_make_clap(rng)).no_chord_reason)


@pytest.mark.parametrize(
    ("frets", "guitar"),
    [((0, 2, 2, 1, 0, 0), "steel"), ((None, 3, 2, 0, 1, 0), "nylon"), ((1, 3, 3, 2, 1, 1), "electric"),
     ((3, 5, 5, None, None, None), "steel"), ((0, 2, 2, None, None, None), "nylon"),
     ((0, 2, 2, None, None, None), "electric"), ((None, None, 0, 2, None, None), "nylon"),
     ((None, None, 0, 2, None, None), "steel")],
)  # fmt: skip
def test_chords_power_chords_and_dyads_are_not_refused(frets: tuple[int | None, ...], guitar: GuitarKind) -> None:
    for seed in range(2):
        settings = StrumStyle(onset_s=0.3, duration_s=1.8, tone=Tone(guitar=guitar, sample_rate_hz=RATE_HZ, seed=seed))
        heard = _hear(render_shape(Shape(frets), Fretboard(), settings=settings), onset_s=0.3)
        assert heard.no_chord_reason is None


@pytest.mark.parametrize("midis", [(40,), (57,), (64,), (45, 57), (52, 64)])
def test_single_notes_and_octaves_get_evidence_as_usual(midis: tuple[int, ...]) -> None:
    heard = _hear(make_plucked(midis, sample_rate_hz=RATE_HZ), onset_s=0.3)
    assert heard.no_chord_reason is None
    assert [one.pitch.midi for one in heard.pitches if one.log_odds > 0.0] == list(midis)


def test_a_chord_over_hum_and_noise_is_still_a_chord() -> None:
    rng = np.random.default_rng(2)
    strum = make_plucked((40, 47, 52, 56, 59, 64), sample_rate_hz=RATE_HZ)
    under = 0.03 * _make_hum(rng) + 0.03 * _make_noise(rng)
    assert _hear((strum + under).astype(np.float32), onset_s=0.3).no_chord_reason is None
