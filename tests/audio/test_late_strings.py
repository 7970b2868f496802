"""Late strings of a slow strum are told from strokes of their own by how a recording's strokes follow each other."""

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ, find_strokes
from tests.audio.sounds import make_plucked

LOW, HIGH = (40.0, 47.0, 52.0), (56.0, 59.0, 64.0)


def _play(strums: Sequence[tuple[float, tuple[float, ...], float]]) -> NDArray[np.float32]:
    """Play strings from times on, so loud."""
    samples = np.zeros(round((strums[-1][0] + 2.0) * STROKE_RATE_HZ), np.float32)
    for seed, (start_s, chord, level) in enumerate(strums):
        sound = make_plucked(chord, sample_rate_hz=STROKE_RATE_HZ, lead_s=0.0, spread_s=0.008, seed=seed)
        first = round(start_s * STROKE_RATE_HZ)
        samples[first : first + len(sound)] += level * sound[: len(samples) - first]
    return samples


def test_strings_that_come_late_after_each_strum_may_be_no_stroke() -> None:
    starts_s = [0.5, 1.6, 2.7, 3.8, 4.9, 6.0]
    lags_s = [0.2, 0.25, 0.17, 0.22, 0.26, 0.18]
    strums = [strum for start_s, lag_s in zip(starts_s, lags_s, strict=True)
              for strum in ((start_s, LOW, 1.0), (start_s + lag_s, HIGH, 0.3))]  # fmt: skip
    found = find_strokes(_play(strums))
    own = [one for one in found if min(abs(one.onset_s - start_s) for start_s in starts_s) < 0.03]
    assert [one.onset_s for one in own] == pytest.approx(starts_s, abs=0.03)
    assert max(one.late for one in own) < 0.05
    assert all(one.late > 0.2 for one in found if one not in own)


@pytest.mark.parametrize("gap_s", [0.17, 0.22, 0.3])
def test_strokes_in_an_even_row_are_none_that_come_late(gap_s: float) -> None:
    starts_s = [0.5 + gap_s * place for place in range(16)]
    found = find_strokes(_play([(start_s, LOW + HIGH, 0.8 if place % 2 else 1.0)
                                for place, start_s in enumerate(starts_s)]))  # fmt: skip
    assert [one.onset_s for one in found] == pytest.approx(starts_s, abs=0.03)
    assert max(one.late for one in found) < 0.05


def test_a_strum_that_follows_something_weaker_is_a_stroke() -> None:
    starts_s = [0.7, 1.8, 2.9, 4.0]
    strums = [strum for start_s in starts_s for strum in ((start_s - 0.2, HIGH, 0.15), (start_s, LOW + HIGH, 1.0))]
    found = [one.onset_s for one in find_strokes(_play(strums)) if one.late < 0.5]
    assert all(min(abs(onset_s - start_s) for onset_s in found) < 0.03 for start_s in starts_s)
