"""Silences: found under a noise floor too, and not where strings ring on, are picked softly, or somebody whispers."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio.quiet import find_quiet, join_quiet, measure_levels
from listen.audio.stroke_spectra import STROKE_RATE_HZ
from listen.evidence import TimeSpan
from tests.audio.sounds import make_plucked

Floats = NDArray[np.float64]
E_MAJOR = (40, 47, 52, 56, 59, 64)
STRUCK_S, WHOLE_S, REST_S = 0.3, 3.5, 0.55


def _strum(*, damped_s: float | None = None) -> Floats:
    sound = make_plucked(E_MAJOR, sample_rate_hz=STROKE_RATE_HZ, duration_s=WHOLE_S, lead_s=STRUCK_S).astype(float)
    if damped_s is not None:
        since_s = np.arange(len(sound)) / STROKE_RATE_HZ - damped_s
        sound *= np.exp(-np.maximum(since_s, 0.0) / 0.01)
    return sound


def _loudest_db(sound: Floats) -> float:
    return float(measure_levels(sound.astype(np.float32)).max())


def _noise(db: float, n: int, *, is_dark: bool = False) -> Floats:
    noise = np.random.default_rng(2).normal(size=n)
    if is_dark:
        noise = np.convolve(noise, np.exp(-np.arange(200) / 12.0))[:n]
    return np.asarray(noise * 10.0 ** (db / 20.0) / noise.std())


def _find(sound: Floats) -> list[TimeSpan]:
    """Find silences after the stroke that are long enough to be rests."""
    samples, last = sound.astype(np.float32), round(10 * len(sound) / STROKE_RATE_HZ)
    found = find_quiet(samples, slice(0, last), loudest_db=_loudest_db(sound), start_s=0.0)
    return [span for span in found if span.start_s > STRUCK_S and span.end_s - span.start_s > REST_S]


@pytest.mark.parametrize("under_db", [80.0, 46.0, 38.0, 32.0])
@pytest.mark.parametrize("is_dark", [False, True])
def test_a_stop_is_found_under_any_floor_that_lies_well_under_the_playing(under_db: float, is_dark: bool) -> None:
    sound = _strum(damped_s=1.8)
    (span,) = _find(sound + _noise(_loudest_db(sound) - under_db, len(sound), is_dark=is_dark))
    assert span.start_s == pytest.approx(1.85, abs=0.06)
    assert span.end_s == pytest.approx(WHOLE_S)


@pytest.mark.parametrize("under_db", [46.0, 38.0, 32.0])
def test_strings_that_ring_on_under_the_noise_are_no_silence(under_db: float) -> None:
    sound = _strum()
    assert _find(sound + _noise(_loudest_db(sound) - under_db, len(sound))) == []


def test_what_is_picked_softly_is_no_silence() -> None:
    sound = _strum(damped_s=0.8)
    loudest_db = _loudest_db(sound)
    for at_s in (1.0, 1.6, 2.2, 2.8):
        note = make_plucked((64,), sample_rate_hz=STROKE_RATE_HZ, duration_s=0.6, lead_s=0.0).astype(float)
        at = round(at_s * STROKE_RATE_HZ)
        sound[at : at + len(note)] += 10.0 ** ((loudest_db - 36.0 - _loudest_db(note)) / 20.0) * note
    assert _find(sound + _noise(loudest_db - 38.0, len(sound))) == []


def test_a_whisper_and_loud_noise_are_no_silence() -> None:
    sound = _strum(damped_s=0.8)
    hiss = _noise(_loudest_db(sound) - 42.0, len(sound))
    syllables = 1.0 + 0.9 * np.sin(2 * np.pi * 3.0 * np.arange(len(sound)) / STROKE_RATE_HZ)
    assert _find(sound + hiss * syllables) == []
    assert _find(sound + _noise(_loudest_db(sound) - 26.0, len(sound))) == []


def test_a_silence_over_the_end_of_a_core_is_one() -> None:
    sound = _strum(damped_s=1.8)
    loudest_db = _loudest_db(sound)
    samples = (sound + _noise(loudest_db - 38.0, len(sound))).astype(np.float32)
    first, second = (
        find_quiet(samples, slice(*core), loudest_db=loudest_db, start_s=core[0] / 10) for core in ((5, 21), (21, 35))
    )
    assert [span.end_s for span in first] == [pytest.approx(2.1)]
    (span,) = join_quiet(tuple(first), second)
    assert span.start_s == pytest.approx(1.85, abs=0.06)
    assert span.end_s == pytest.approx(WHOLE_S)
