"""Marks that can be heard, on strums rendered by the string model: the palm on the strings, and accents."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.evidence import StrokeEvidence
from listen.instrument import STANDARD, Fretboard, GuitarKind, parse_shape
from listen.synthesis import PluckedNote, Tone, render_notes
from listen.transcription import PartSettings, read_part_samples
from listen.transcription.events import _mark_strokes

RATE_HZ = 22_050
N_STRUMS, GAP_S = 12, 0.5


def _render(
    guitar: GuitarKind, *, palm: frozenset[int] = frozenset(), loud: frozenset[int] = frozenset()
) -> NDArray[np.float32]:
    """Strum E and A alternately, four strokes each; some under the palm, some 8 dB louder."""
    notes = []
    for number in range(N_STRUMS):
        shape = parse_shape("022100" if number // 4 % 2 == 0 else "x02220")
        onset_s = 0.4 + GAP_S * number
        for string, fret in enumerate(shape.frets):
            if fret is None:
                continue
            notes.append(
                PluckedNote(
                    onset_s + 0.004 * string, Fretboard().pitch_at(string, fret), string, string, fret,
                    0.0 if number in loud else -8.0, GAP_S, mute="palm" if number in palm else "open",
                )
            )  # fmt: skip
    tone = Tone(guitar=guitar, sample_rate_hz=RATE_HZ, seed=5)
    return render_notes(notes, tone=tone, duration_s=0.4 + GAP_S * N_STRUMS + 1.0)


def _marked(samples: NDArray[np.float32], mark: str) -> list[bool]:
    part = read_part_samples(samples, sample_rate_hz=RATE_HZ, settings=PartSettings(tuning=STANDARD, capo_fret=0))
    strokes = [stroke for event in part.events for stroke in event.strokes]
    found = []
    for number in range(N_STRUMS):
        at = 0.4 + GAP_S * number
        near = min(strokes, key=lambda stroke: abs(stroke.span.start_s - at))
        assert abs(near.span.start_s - at) < 0.05
        found.append(mark in near.marks)
    return found


@pytest.mark.parametrize("guitar", ["steel", "nylon", "electric"])
def test_strums_under_the_palm_are_marked_and_ringing_ones_are_not(guitar: GuitarKind) -> None:
    marked = _marked(_render(guitar, palm=frozenset(range(4, 8))), "palm mute")
    assert sum(marked[4:8]) >= 3
    assert sum(marked[:4]) + sum(marked[8:]) <= 1


def test_two_strokes_that_fall_fast_are_high_strings_and_three_in_a_row_are_under_the_palm() -> None:
    """A picked cycle ends on its high strings twice a bar: a sixth of its strokes were marked."""
    cycle = (-1.0, -2.0, -2.5, -2.0, -7.3, -7.8)
    falls_db = [*cycle * 4, -7.0, -7.0, -7.0, *cycle * 4]
    strokes = [StrokeEvidence(0.4 * place, -12.0, fall_db) for place, fall_db in enumerate(falls_db)]
    marked = [place for place, marks in enumerate(_mark_strokes(strokes)) if "palm mute" in marks]
    assert marked == [22, 23, 24, 25, 26], "two of the cycle and the three after them"


def test_louder_strokes_are_accents() -> None:
    assert _marked(_render("steel", loud=frozenset({3, 8})), "accent") == [
        number in {3, 8} for number in range(N_STRUMS)
    ]
