"""What was played in a take: strokes as a sensor at the hand saw them, beats and chords as a person wrote them down.

A take's strokes stand beside its recordings (``strumming_0.strums``: seconds, ``D`` or ``U``, a line each). Its beats
and chords are the project's own, in ``tests/benchmarks/truth/strumming_0.json``.
"""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

TRUTH = Path(__file__).parent / "truth"


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
    metre : str
        As a signature: ``"4/4"``.
    beats_s, downbeats_s : tuple of float
    chords : tuple of (float, str)
        From when which chord is held, in Harte syntax, in time order.
    """

    metre: str
    beats_s: tuple[float, ...]
    downbeats_s: tuple[float, ...]
    chords: tuple[tuple[float, str], ...]

    def chord_at(self, time_s: float, *, early_s: float = 0.1) -> str | None:
        """Return the chord held at a time, None before the first; a stroke may come early by the sensor's error."""
        place = bisect_right([start_s for start_s, _ in self.chords], time_s + early_s) - 1
        return self.chords[place][1] if place >= 0 else None

    @property
    def n_changes(self) -> int:
        """How often the chord changes."""
        labels = [label for _, label in self.chords]
        return sum(one != other for one, other in zip(labels, labels[1:], strict=False))


def load_strokes(path: Path) -> Sequence[TakeStroke]:
    """Read a take's strokes."""
    strokes = []
    for line in path.read_text().splitlines():
        time_s, way, *_ = line.split()
        strokes.append(TakeStroke(float(time_s), "down" if way == "D" else "up"))
    return strokes


def load_truth(take: str, *, folder: Path = TRUTH) -> TakeTruth | None:
    """Read a take's beats and chords; None where nobody wrote them down."""
    path = folder / f"{take}.json"
    if not path.exists():
        return None
    top = json.loads(path.read_text())
    chords = tuple((float(start_s), str(label)) for start_s, label in top["chords"])
    return TakeTruth(str(top["metre"]), tuple(top["beats_s"]), tuple(top["downbeats_s"]), chords)
