"""Strums are found where they begin; the strings of one strum are one."""

import numpy as np
import pytest

from listen.audio import find_strums
from tests.audio.sounds import make_plucked

RATE_HZ = 22_050
CHORD = (40.0, 47.0, 52.0, 56.0, 59.0, 64.0)


@pytest.mark.parametrize("spread_s", [0.0, 0.01, 0.025])
def test_the_strings_of_a_strum_are_one_onset(spread_s: float) -> None:
    strums = find_strums(make_plucked(CHORD, spread_s=spread_s), sample_rate_hz=RATE_HZ)
    assert [strum.onset_s for strum in strums] == pytest.approx([0.3], abs=0.015)


@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 96_000])
def test_the_rate_does_not_matter(rate_hz: int) -> None:
    (strum,) = find_strums(make_plucked(CHORD, sample_rate_hz=rate_hz), sample_rate_hz=rate_hz)
    assert strum.onset_s == pytest.approx(0.3, abs=0.015)


def test_strums_a_quarter_second_apart_are_told_apart_and_end_where_the_next_begins() -> None:
    samples = np.zeros(3 * RATE_HZ, np.float32)
    starts_s = (0.3, 0.55, 0.8, 1.4)
    for index, start_s in enumerate(starts_s):
        strum = make_plucked(tuple(midi + 2 * index for midi in CHORD), lead_s=0.0, seed=index)
        first = round(start_s * RATE_HZ)
        # the strings are struck again: what they sounded before dies within a few milliseconds
        samples[first:] *= np.exp(-np.arange(len(samples) - first) / (0.005 * RATE_HZ)).astype(np.float32)
        samples[first : first + len(strum)] += strum[: len(samples) - first]
    found = find_strums(samples, sample_rate_hz=RATE_HZ)
    assert [strum.onset_s for strum in found] == pytest.approx(starts_s, abs=0.02)
    assert [strum.end_s for strum in found[:-1]] == [strum.onset_s for strum in found[1:]]


def test_a_louder_strum_has_the_higher_level() -> None:
    samples = np.concatenate([0.3 * make_plucked(CHORD), make_plucked(CHORD)])
    quiet, loud = find_strums(samples, sample_rate_hz=RATE_HZ)
    assert loud.level_db - quiet.level_db == pytest.approx(10.5, abs=1.0)


def test_a_recording_that_is_cut_off_has_no_onset_at_its_end() -> None:
    time_s = np.arange(2 * RATE_HZ) / RATE_HZ
    hum = (0.3 * np.sin(2 * np.pi * 100.0 * time_s)).astype(np.float32)
    assert all(strum.onset_s < 0.1 for strum in find_strums(hum, sample_rate_hz=RATE_HZ))


def test_silence_and_faint_hiss_hold_no_strum() -> None:
    hiss = 1e-4 * np.random.default_rng(0).standard_normal(RATE_HZ).astype(np.float32)
    for quiet in (np.zeros(RATE_HZ, np.float32), hiss, np.zeros(10, np.float32)):
        assert find_strums(quiet, sample_rate_hz=RATE_HZ) == ()
