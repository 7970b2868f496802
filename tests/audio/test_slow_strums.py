"""A strum whose strings come late is one stroke, and strokes that follow each other soon are strokes of their own."""

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ, find_strokes
from tests.audio.sounds import make_plucked

CHORD = (40.0, 47.0, 52.0, 56.0, 59.0, 64.0)
DAMPED_S = 0.02  # a string that is struck again stops first


def _play(
    starts_s: Sequence[float], offsets_s: Sequence[float], levels: Sequence[float], goes_up: Sequence[bool]
) -> NDArray[np.float32]:
    """Play a chord again and again, its strings one after another, over what still rings."""
    samples = np.zeros(round((starts_s[-1] + 2.5) * STROKE_RATE_HZ), np.float32)
    for seed, (start_s, level, is_up) in enumerate(zip(starts_s, levels, goes_up, strict=True)):
        first = round(start_s * STROKE_RATE_HZ)
        fall = np.exp(-np.arange(len(samples) - first) / (DAMPED_S * STROKE_RATE_HZ)).astype(np.float32)
        samples[first:] *= 0.5 * fall + 0.5
        for string, (midi, offset_s) in enumerate(zip(CHORD[::-1] if is_up else CHORD, offsets_s, strict=True)):
            sound = make_plucked((midi,), sample_rate_hz=STROKE_RATE_HZ, lead_s=0.0, seed=7 * seed + string)
            begin = round((start_s + offset_s) * STROKE_RATE_HZ)
            samples[begin : begin + len(sound)] += level * sound[: len(samples) - begin]
    return samples


@pytest.mark.parametrize(
    "offsets_s",
    [
        (0.0, 0.06, 0.12, 0.18, 0.24, 0.3),  # slow and even
        (0.0, 0.12, 0.16, 0.2, 0.24, 0.3),  # a thumb waits
        (0.0, 0.03, 0.15, 0.18, 0.21, 0.24),  # after two strings
    ],
)
@pytest.mark.parametrize("alternates", [False, True])
def test_a_slow_strum_is_one_stroke_and_tells_its_way(offsets_s: tuple[float, ...], alternates: bool) -> None:
    starts_s = [0.5, 1.6, 2.7, 3.8, 4.9, 6.0]
    goes_up = [alternates and place % 2 == 1 for place in range(len(starts_s))]
    found = [one for one in find_strokes(_play(starts_s, offsets_s, [1.0] * len(starts_s), goes_up)) if one.late < 0.5]
    assert [one.onset_s for one in found] == pytest.approx(starts_s, abs=0.04)
    assert [one.lean < 0.0 for one in found] == goes_up


@pytest.mark.parametrize("gap_s", [0.17, 0.22, 0.3])
def test_strokes_in_an_even_row_are_none_that_come_late(gap_s: float) -> None:
    starts_s = [0.5 + gap_s * place for place in range(16)]
    levels = [0.8 if place % 2 else 1.0 for place in range(16)]
    found = find_strokes(_play(starts_s, (0.0, 0.008, 0.016, 0.024, 0.032, 0.04), levels, [False] * len(starts_s)))
    assert all(one.late < 0.5 for one in found)
    assert [one.onset_s for one in found] == pytest.approx(starts_s, abs=0.04)
