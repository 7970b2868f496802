"""What was played in a take: strokes as a sensor at the hand saw them, beats and chords as a person wrote them down.

A take's strokes stand beside its recordings (``strumming_0.strums``: seconds, ``D`` or ``U``, a line each). Its beats
and chords are the project's own: ``tests/benchmarks/truth/README.md`` says how they were written down.
"""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

TRUTH = Path(__file__).parent / "truth" / "strumming.json"
SAME_S = 0.002  # times in the truth are rounded


@dataclass(frozen=True, slots=True)
class TakeStroke:
    """One stroke of the hand.

    Parameters
    ----------
    time_s : float
    direction : "down" or "up"
    """

    time_s: float
    direction: Literal["down", "up"]


@dataclass(frozen=True, slots=True)
class TakeTruth:
    """What a person wrote down of a take.

    Parameters
    ----------
    beats_s, bars_s : tuple of float
        Beats, and those of them that begin a bar.
    chords : tuple of (float, str)
        From when which chord is held, in Harte syntax, in time order.
    in_change_s : tuple of float
        Strokes at which the fingers are on their way: no name is right or wrong.
    unscored_s : tuple of (float, float)
        Where nobody can say where beats fall.
    """

    beats_s: tuple[float, ...]
    bars_s: tuple[float, ...]
    chords: tuple[tuple[float, str], ...]
    in_change_s: tuple[float, ...] = ()
    unscored_s: tuple[tuple[float, float], ...] = ()

    def chord_at(self, stroke_s: float) -> str | None:
        """Return the chord held at a stroke; None before the first, and where fingers are on their way."""
        if any(abs(stroke_s - at) < SAME_S for at in self.in_change_s):
            return None
        place = bisect_right([start_s for start_s, _ in self.chords], stroke_s + SAME_S) - 1
        return self.chords[place][1] if place >= 0 else None

    def is_asked(self, time_s: float) -> bool:
        """Whether a beat is asked about: between the first and the last, and not where nobody can say."""
        inside = self.beats_s[0] - 0.1 <= time_s <= self.beats_s[-1] + 0.1
        return inside and not any(start_s <= time_s <= end_s for start_s, end_s in self.unscored_s)

    @property
    def n_changes(self) -> int:
        """How often the chord changes."""
        return len(self.chords) - 1


def load_strokes(path: Path) -> Sequence[TakeStroke]:
    """Read a take's strokes."""
    strokes = []
    for line in path.read_text().splitlines():
        time_s, way, *_ = line.split()
        strokes.append(TakeStroke(float(time_s), "down" if way == "D" else "up"))
    return strokes


def load_truth(take: str, *, path: Path = TRUTH) -> TakeTruth | None:
    """Read a take's beats and chords; None where nobody wrote them down."""
    found = json.loads(path.read_text()).get(take) if path.exists() else None
    if found is None:
        return None
    return TakeTruth(
        tuple(found["beats_s"]),
        tuple(found["bars_s"]),
        tuple((float(chord["start_s"]), _spell_out(chord["harte"])) for chord in found["chords"]),
        tuple(found["in_change_s"]),
        tuple((float(start_s), float(end_s)) for start_s, end_s in found["unscored_s"]),
    )


def _spell_out(label: str) -> str:
    """Write a major triad's quality out, as the program does."""
    return label if ":" in label else f"{label}:maj"
