"""When the beats of a score fall at its tempi: a stretch that was set faster has shorter beats."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FAR = 1e6  # beats: what lies before the first bar line and after the last goes on as the bars there
NEXT = 1e-3  # beats


@dataclass(frozen=True, slots=True)
class ScoreClock:
    """Beats as they are counted, and as they fall: the beats of the first tempo that have gone.

    Parameters
    ----------
    counted, gone : ndarray, shape (n,)
        At bar lines and far outside; empty where all beats last alike.
    """

    counted: Floats = field(default_factory=lambda: np.zeros(0))
    gone: Floats = field(default_factory=lambda: np.zeros(0))

    @property
    def is_even(self) -> bool:
        """Whether all beats last alike."""
        return not len(self.counted)

    def at(self, beats: Floats) -> Floats:
        """Return how many beats of the first tempo have gone at beats as they are counted."""
        return beats if self.is_even else np.interp(beats, self.counted, self.gone)

    def gone_at(self, beat: float) -> float:
        """Return the same for one beat."""
        return beat if self.is_even else float(np.interp(beat, self.counted, self.gone))

    def beat_after(self, beat: float, gone: float) -> float:
        """Return the beat that is reached from another while so many beats of the first tempo go by."""
        if self.is_even:
            return beat + gone
        return float(np.interp(self.gone_at(beat) + gone, self.gone, self.counted))

    def steady_from(self, beat: float) -> float:
        """Return the beat from which on beats last as long as at another."""
        if self.is_even:
            return -FAR
        rates = np.diff(self.gone) / np.diff(self.counted)
        at = int(np.clip(np.searchsorted(self.counted, beat + 1e-6, side="right") - 1, 0, len(rates) - 1))
        others = np.flatnonzero(np.abs(rates[:at] - rates[at]) > 1e-9)
        return float(self.counted[others[-1] + 1]) if len(others) else -FAR

    def length_at(self, beat: float) -> float:
        """Return how long a beat is from there on, in beats of the first tempo."""
        return 1.0 if self.is_even else (self.gone_at(beat + NEXT) - self.gone_at(beat)) / NEXT


def lay_clock(bars: Sequence[float], paces: Sequence[float]) -> ScoreClock:
    """Lay out a clock by bar lines, and how fast each bar goes as a share of the first; empty where all go alike."""
    if not paces:
        return ScoreClock()
    lines = np.array([bars[0] - FAR, *bars, bars[-1] + FAR])
    lengths = np.diff(lines) / np.array([paces[0], *paces, paces[-1]])
    gone = np.concatenate([[0.0], np.cumsum(lengths)])
    return ScoreClock(lines, gone - gone[1])
