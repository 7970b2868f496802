"""The trained ear hears known chords up to the next onset, tells kinds of string, and refuses what is no chord."""

import hashlib
import re
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio import load_ear
from listen.audio.cut_frontend import (
    N_AFTER,
    N_BANDS,
    N_CHANNELS,
    N_LEAD,
    N_SEGMENT,
    N_WINDOWS,
    WINDOWS,
    band_centres_hz,
    cut_window,
    make_band_matrix,
    measure_all_cut_bands,
)
from listen.audio.trained_network import HIGHEST_MIDI, LOWEST_MIDI, make_harmonic_index
from listen.evidence import StrumEvidence
from tests.audio.sounds import make_plucked

CHORD = (43, 50, 55, 59, 67)
RATE_HZ = 22_050
EAR = load_ear("trained")
CARD = Path(__file__).parents[2] / "docs" / "ear.md"


def _sounding(heard: StrumEvidence) -> list[int]:
    return [one.pitch.midi for one in heard.pitches if one.log_odds > 0.0]


def _steady(hertz: float) -> NDArray[np.float32]:
    return np.asarray(0.5 * np.sin(2 * np.pi * hertz * np.arange(N_SEGMENT) / 16_000), np.float32)


def test_a_known_chord_is_heard_with_its_bass() -> None:
    heard = EAR.hear(make_plucked(CHORD), sample_rate_hz=RATE_HZ, onset_s=0.3)
    assert _sounding(heard) == list(CHORD)
    assert max(heard.pitches, key=lambda one: one.bass_log_odds).pitch.midi == CHORD[0]
    assert heard.no_chord_reason is None


def test_pitches_go_from_a1_to_e6_and_each_has_six_kinds_of_string() -> None:
    heard = EAR.hear(make_plucked(CHORD), sample_rate_hz=RATE_HZ, onset_s=0.3)
    assert [one.pitch.midi for one in heard.pitches] == list(range(LOWEST_MIDI, HIGHEST_MIDI + 1))
    assert all(one.string_log_odds is not None and np.isfinite(one.string_log_odds).all() for one in heard.pitches)


def test_nothing_after_the_next_onset_is_looked_at() -> None:
    before = make_plucked(CHORD)
    after = before.copy()
    after[round(0.5 * RATE_HZ) :] += make_plucked((41, 48, 53, 57), seed=9)[: len(after) - round(0.5 * RATE_HZ)]
    one, other = (EAR.hear(samples, sample_rate_hz=RATE_HZ, onset_s=0.3, until_s=0.5) for samples in (before, after))
    assert one == other


def test_a_strum_of_three_tenths_of_a_second_between_others_is_heard() -> None:
    """What it is for: the chord before rings until this one, the next follows after 300 ms."""
    gap = round(0.3 * RATE_HZ)
    earlier, later = make_plucked((45, 52, 57, 60, 64), seed=3), make_plucked((41, 48, 53, 57), seed=9)
    samples = np.zeros(2 * len(earlier), np.float32)
    samples[: 3 * gap] = earlier[: 3 * gap]
    samples[2 * gap : 4 * gap] += make_plucked(CHORD)[gap : 3 * gap] - samples[2 * gap : 4 * gap] * (
        np.arange(2 * gap) > 0.01 * RATE_HZ
    )
    samples[4 * gap : 4 * gap + len(later) - gap] = later[gap:]
    onset_s = 2 * gap / RATE_HZ
    heard = EAR.hear(samples, sample_rate_hz=RATE_HZ, onset_s=onset_s, until_s=onset_s + 0.3)
    assert set(CHORD) <= set(_sounding(heard))


def test_loudness_does_not_matter() -> None:
    samples = make_plucked(CHORD)
    loud, quiet = (EAR.hear(level * samples, sample_rate_hz=RATE_HZ, onset_s=0.3) for level in (1.0, 0.02))
    assert np.allclose([one.log_odds for one in loud.pitches], [one.log_odds for one in quiet.pitches], atol=0.3)


def test_steady_tones_and_noise_are_no_chords() -> None:
    rng = np.random.default_rng(2)
    time_s = np.arange(2 * RATE_HZ) / RATE_HZ
    for samples in (0.3 * np.sin(2 * np.pi * 440 * time_s), 0.1 * rng.standard_normal(time_s.size)):
        heard = EAR.hear(samples.astype(np.float32), sample_rate_hz=RATE_HZ, onset_s=0.3)
        assert heard.no_chord_reason is not None


def test_a_low_string_is_told_from_a_high_one_at_the_same_pitch() -> None:
    """B of a stopped low string is some thirty times that of an open first string at E4 (Bastas et al. 2022)."""
    stiff, limp = (
        EAR.hear(make_plucked((64.0,), stiffness=b), sample_rate_hz=RATE_HZ, onset_s=0.3) for b in (5e-4, 2.2e-5)
    )
    leaning = []
    for heard in (stiff, limp):
        kinds = next(one for one in heard.pitches if one.pitch.midi == 64).string_log_odds
        assert kinds is not None
        leaning.append(max(kinds[:3]) - kinds[5])
    assert leaning[0] > leaning[1] + 1.0


def test_a_sine_stands_in_its_own_band_alike_in_every_window() -> None:
    """A Hann window of n samples has a gain of n/2 (Harris 1978), so after scaling its length hardly matters."""
    band = 200
    [bands], [shares] = measure_all_cut_bands(_steady(float(band_centres_hz()[band]))[None], [N_AFTER])
    assert bands.shape == (N_CHANNELS, N_BANDS)
    assert shares.shape == (N_WINDOWS,)
    for row in bands[:N_WINDOWS]:
        assert abs(int(np.argmax(row)) - band) <= 1
        assert row[band] > 1.0 - 6.0 / 70.0  # within 6 dB of the loudest of all


def test_a_cut_window_keeps_its_level_and_tells_its_length() -> None:
    hertz = float(band_centres_hz()[160])
    n_half = WINDOWS[0].start + WINDOWS[0].n_samples // 2
    (whole, half), (shares_of_whole, shares) = measure_all_cut_bands(np.stack([_steady(hertz)] * 2), [N_AFTER, n_half])
    assert shares_of_whole.tolist() == [1.0] * N_WINDOWS
    assert shares[0] == pytest.approx(0.5)
    assert half[0, 160] == pytest.approx(whole[0, 160], abs=0.01)


def test_windows_lie_within_the_segment_and_those_before_the_onset_are_never_cut() -> None:
    for window in WINDOWS:
        assert window.start >= -N_LEAD
        assert window.start + window.n_samples <= N_AFTER
        assert cut_window(window, 0) == (window.n_samples if window.is_before else 0)


def test_every_band_holds_some_bin_of_every_window() -> None:
    for window in set(WINDOWS):
        assert (make_band_matrix(window).sum(axis=0) > 0).all()


def test_harmonics_lie_where_the_logarithm_puts_them() -> None:
    index = make_harmonic_index()
    second, fundamental = index[:, 3], index[:, 2]
    known = second < N_BANDS
    assert (second[known] - fundamental[known] == 48).all()  # an octave of 25-cent bands


def test_the_model_card_names_the_very_weights() -> None:
    weights = resources.files("listen.audio").joinpath("weights", "strum_trained.npz").read_bytes()
    assert hashlib.sha256(weights).hexdigest() in re.findall(r"[0-9a-f]{64}", CARD.read_text(encoding="utf-8"))
