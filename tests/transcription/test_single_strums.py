"""What belongs to one strum: slow ones, what sounds before one, and two that follow each other."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.transcription import read_strum
from listen.transcription.single_strums import find_single_strums
from tests.audio.sounds import make_plucked

RATE_HZ = 22_050
C, G = (48.0, 52.0, 55.0, 60.0, 64.0), (43.0, 47.0, 50.0, 55.0, 59.0, 67.0)
BEGIN_S = 0.3


def _read(samples: NDArray[np.float32]) -> tuple[str, float]:
    reading = read_strum(samples, sample_rate_hz=RATE_HZ)
    return reading.names[0].text if reading.names else str(reading.refused), reading.evidence.span.start_s


def _put_before(chord: NDArray[np.float32], sound: NDArray[np.float64], gap_s: float) -> NDArray[np.float32]:
    """Put a sound before a chord that begins a gap after it."""
    n = round(gap_s * RATE_HZ)
    first = round(BEGIN_S * RATE_HZ)
    samples = chord.copy()
    samples[first : first + n] += sound[:n].astype(np.float32)
    return samples


@pytest.mark.parametrize("spread_s", [0.06, 0.1, 0.12])
def test_a_chord_spread_over_half_a_second_is_one_strum(spread_s: float) -> None:
    name, start_s = _read(make_plucked(C, spread_s=spread_s, lead_s=BEGIN_S))
    assert name == "C"
    assert start_s == pytest.approx(BEGIN_S, abs=0.03)


@pytest.mark.parametrize("spread_s", [0.02, 0.06, 0.1])
@pytest.mark.parametrize(("way", "order"), [("down", C), ("up", C[::-1])])
def test_the_way_of_a_slow_strum_is_told(way: str, order: tuple[float, ...], spread_s: float) -> None:
    reading = read_strum(make_plucked(order, spread_s=spread_s), sample_rate_hz=RATE_HZ)
    assert reading.evidence.direction == way


@pytest.mark.parametrize("gap_s", [0.25, 0.4])
@pytest.mark.parametrize("before", ["a string", "a knock", "a rustle"])
def test_a_strum_is_heard_by_itself_where_something_else_sounds_before_it(before: str, gap_s: float) -> None:
    time_s = np.arange(round(gap_s * RATE_HZ)) / RATE_HZ
    sounds = {
        "a string": 0.5 * make_plucked((45.0,), lead_s=0.0, duration_s=gap_s).astype(np.float64),
        "a knock": 0.5 * np.sin(2 * np.pi * 90.0 * time_s) * np.exp(-30.0 * time_s),
        "a rustle": 0.2 * np.random.default_rng(1).standard_normal(len(time_s)) * np.exp(-8.0 * time_s),
    }
    chord = make_plucked(C, lead_s=BEGIN_S + gap_s)
    name, start_s = _read(_put_before(chord, sounds[before], gap_s))
    assert name == "C"
    assert start_s == pytest.approx(BEGIN_S + gap_s, abs=0.03)


@pytest.mark.parametrize("gap_s", [0.4, 0.5])
def test_two_chords_that_look_like_one_slow_strum_are_two(gap_s: float) -> None:
    first, second = make_plucked(G, lead_s=BEGIN_S), make_plucked(C, lead_s=BEGIN_S + gap_s)
    at = round((BEGIN_S + gap_s) * RATE_HZ)
    first[at:] *= np.exp(-np.arange(len(first) - at) / (0.02 * RATE_HZ)).astype(np.float32)
    strums = find_single_strums(first + second, sample_rate_hz=RATE_HZ, n_strings=6)
    assert [strum.onset_s for strum in strums] == pytest.approx([BEGIN_S, BEGIN_S + gap_s], abs=0.03)
