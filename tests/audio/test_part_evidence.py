"""What is measured of the strokes of a part beside their pitches: how low they lie, and whether waves are cut off."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ, hear_part
from listen.instrument import Fretboard, Shape
from listen.synthesis import StrumStyle, Tone, render_notes, shape_to_notes

BASS, BRUSH = Shape((3, 2, None, None, None, None)), Shape((None, None, None, 0, 0, 3))


@pytest.fixture(scope="module")
def bass_and_brush() -> NDArray[np.float32]:
    """Two low strings of G, two seconds later the three highest."""
    tone = Tone(sample_rate_hz=STROKE_RATE_HZ, seed=2)
    notes = [
        note
        for onset_s, shape in ((0.4, BASS), (1.4, BRUSH))
        for note in shape_to_notes(
            shape, Fretboard(), settings=StrumStyle(onset_s=onset_s, spread_s=0.01, damp_s=0.9, tone=tone)
        )
    ]
    return render_notes(notes, tone=tone, duration_s=2.4)


def test_more_of_a_bass_lies_low_than_of_a_brush(bass_and_brush: NDArray[np.float32]) -> None:
    bass, brush = hear_part([bass_and_brush]).strokes
    assert 1.0 >= bass.low_share > 2.0 * brush.low_share >= 0.0


def test_samples_that_are_cut_off_are_counted(bass_and_brush: NDArray[np.float32]) -> None:
    """By runs: of a wave that stays at its limit, the samples with one beside them on both sides."""
    limit = np.float32(0.15)
    clipped = np.clip(bass_and_brush, -limit, limit)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], np.abs(clipped) == limit, [False]]).astype(int)))
    n_inside = sum(max(0, end - start - 2) for start, end in zip(edges[::2], edges[1::2], strict=True))
    assert n_inside > 100
    assert hear_part([clipped]).n_clipped == pytest.approx(n_inside, rel=0.1)  # nearly cut off counts too
    assert hear_part([bass_and_brush]).n_clipped == 0
