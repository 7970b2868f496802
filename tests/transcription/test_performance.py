"""Which strokes of a student are measured in cents together."""

from __future__ import annotations

from typing import cast

import numpy as np
import pytest

from listen.evidence import Stretch, TimeSpan
from listen.transcription.performance import _find_alike

C, AM = {48, 52, 55, 60, 64}, {45, 52, 57, 60, 64}


class Sounding:
    """What is looked at of a stretch: when it sounds, and which pitches surely do."""

    def __init__(self, start_s: float, end_s: float, notes: set[int]) -> None:
        self.span = TimeSpan(start_s, end_s)
        self.log_odds = np.where(np.isin(np.arange(128), list(notes)), 4.0, -6.0)


def test_fast_strokes_of_one_chord_are_measured_together_and_no_other_chord_with_them() -> None:
    strokes = [C, C - {64}, C, AM, AM]
    row = [cast(Stretch, Sounding(0.15 * at, 0.15 * at + 0.15, notes)) for at, notes in enumerate(strokes)]
    end_s, sure = _find_alike(row, 0)
    assert end_s == pytest.approx(0.45)
    assert sure == C - {64}
    end_s, sure = _find_alike(row, 2)
    assert end_s == pytest.approx(0.45)
    assert sure == C
    assert _find_alike(row, 3)[0] == pytest.approx(0.75)
