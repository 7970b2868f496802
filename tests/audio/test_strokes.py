"""Strokes of a part: the strings of one are one, and what a hand does beside striking is none."""

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ, find_strokes, find_strums
from listen.evidence import Direction
from listen.instrument import Fretboard, Shape
from listen.synthesis import StrumStyle, Tone, render_notes, shape_to_notes
from tests.audio.sounds import make_plucked

CHORD = (40.0, 47.0, 52.0, 56.0, 59.0, 64.0)


def _strike(
    starts_s: list[float], *, spread_s: float, rate_hz: int = STROKE_RATE_HZ, chord: tuple[float, ...] = CHORD
) -> NDArray[np.float32]:
    """Strike a chord again and again, each time over the strings that ring."""
    samples = np.zeros(round((starts_s[-1] + 2.0) * rate_hz), np.float32)
    for seed, start_s in enumerate(starts_s):
        strum = make_plucked(chord, sample_rate_hz=rate_hz, lead_s=0.0, spread_s=spread_s, seed=seed)
        first = round(start_s * rate_hz)
        samples[first:] *= np.exp(-np.arange(len(samples) - first) / (0.02 * rate_hz)).astype(np.float32) * 0.5 + 0.5
        samples[first : first + len(strum)] += strum[: len(samples) - first]
    return samples


def _are_among(starts_s: list[float], onsets_s: list[float]) -> bool:
    """Return whether each stroke was found, beside whatever else was."""
    return all(min(abs(onset_s - start_s) for onset_s in onsets_s) < 0.03 for start_s in starts_s)


@pytest.mark.parametrize("spread_s", [0.004, 0.012, 0.055])
def test_strings_that_sound_over_a_quarter_second_are_one_stroke(spread_s: float) -> None:
    starts_s = [0.5, 1.3, 2.1, 2.9]
    found = find_strokes(_strike(starts_s, spread_s=spread_s))
    assert [stroke.onset_s for stroke in found] == pytest.approx(starts_s, abs=0.03)


def test_strings_a_tenth_of_a_second_apart_are_seldom_strokes_of_their_own() -> None:
    starts_s = [0.5, 1.3, 2.1, 2.9]
    found = [
        [stroke.onset_s for stroke in find_strokes(_strike(starts_s, spread_s=spread_s, chord=chord))]
        for spread_s in (0.09, 0.1, 0.11)
        for chord in ((45.0, 52.0, 60.0), (43.0, 50.0, 59.0))
    ]
    assert all(_are_among(starts_s, onsets_s) for onsets_s in found)
    n_strings, n_strokes = 3 * len(starts_s) * len(found), len(starts_s) * len(found)
    assert sum(len(onsets_s) for onsets_s in found) < n_strokes + 0.25 * (n_strings - n_strokes)


def test_a_strum_just_after_another_sound_is_a_stroke_where_it_is_the_stronger() -> None:
    starts_s = [0.6, 1.6, 2.6]
    samples = _strike(starts_s, spread_s=0.006)
    before = make_plucked((52.0,), sample_rate_hz=STROKE_RATE_HZ, lead_s=0.0, seed=9)
    for start_s in starts_s:
        first = round((start_s - 0.1) * STROKE_RATE_HZ)
        samples[first : first + len(before)] += 0.2 * before[: len(samples) - first]
    assert _are_among(starts_s, [stroke.onset_s for stroke in find_strokes(samples)])


def test_strokes_a_tenth_of_a_second_apart_are_told_apart() -> None:
    starts_s = [0.5 + 0.1 * k for k in range(8)]
    found = find_strokes(_strike(starts_s, spread_s=0.003))
    assert [stroke.onset_s for stroke in found] == pytest.approx(starts_s, abs=0.03)


def test_strokes_at_seven_a_second_are_told_apart() -> None:
    starts_s = [0.5 + 0.14 * k for k in range(8)]
    found = find_strokes(_strike(starts_s, spread_s=0.006))
    assert [stroke.onset_s for stroke in found] == pytest.approx(starts_s, abs=0.03)


@pytest.mark.parametrize("spread_s", [0.03, 0.05, 0.062])
def test_a_slow_strum_that_stands_alone_is_one(spread_s: float) -> None:
    samples = _strike([0.5], spread_s=spread_s, rate_hz=22_050)
    (strum,) = find_strums(samples, sample_rate_hz=22_050)
    assert strum.onset_s == pytest.approx(0.5, abs=0.03)


@pytest.mark.parametrize("frets", [(0, 2, 2, 1, 0, 0), (3, 2, 0, 0, 0, 3)])
def test_a_stroke_from_the_lowest_string_to_the_highest_leans_down(frets: tuple[int, ...]) -> None:
    """Down is towards the floor, from the lowest string on; leans are log-odds of down."""
    ways: tuple[Direction, ...] = ("down", "down", "up", "down", "up")
    tone = Tone(sample_rate_hz=STROKE_RATE_HZ, seed=1)
    notes = [
        note
        for onset_s, way in zip((0.4, 1.0, 1.4, 1.8, 2.2), ways, strict=True)
        for note in shape_to_notes(
            Shape(frets), Fretboard(), settings=StrumStyle(direction=way, spread_s=0.05, onset_s=onset_s, tone=tone)
        )
    ]
    pitches = [note.pitch.midi for note in notes]
    assert pitches[:6] == sorted(pitches[:6])
    found = find_strokes(render_notes(notes, tone=tone, duration_s=2.8))
    assert ["down" if stroke.lean > 0 else "up" for stroke in found] == list(ways)
