"""A case of the benchmark: a sound and the truth about it, which the generator that made the sound wrote down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.draws import Drawn
from tests.benchmarks.hands import Frets, frets_to_pitches

Samples = NDArray[np.float32]
Kind = Literal["chord", "power", "note", "nothing", "triad"]

RATE_HZ = 22050
LEAD_S = 0.3  # of near silence before a strum


@dataclass(frozen=True, slots=True)
class Truth:
    """What sounds.

    Parameters
    ----------
    kind : str
        ``"triad"`` is a recorded strum of which only the name is written down.
    pitches : tuple of int
        MIDI numbers, low to high, each once.
    frets : tuple of int or None
        By string, low E first; None where no shape is written down.
    strings_known : bool
        Whether the notes were recorded or modelled on the very strings of the shape. Where they were not, the shape is
        a drawing: sound says nothing about it, only hand and book do.
    root, quality : int or None, str or None
        The book's own name, only where it agrees with what sounds.
    direction : str or None
    """

    kind: Kind
    pitches: tuple[int, ...] = ()
    frets: Frets | None = None
    strings_known: bool = False
    root: int | None = None
    quality: str | None = None
    direction: str | None = None

    @property
    def pitch_classes(self) -> frozenset[int]:
        """What sounds, whatever its octave."""
        return frozenset(pitch % 12 for pitch in self.pitches)


@dataclass(frozen=True, slots=True)
class Case:
    """One sound to be read.

    Parameters
    ----------
    name : str
        Row, number and what was drawn: enough to make it again.
    samples : ndarray, shape (n,), mono, -1..1
    sample_rate_hz : int
    truth : Truth
    asked_s : float or None
        Where in the recording the strum is asked for; None for the strongest.
    until_s : float or None
        Where the next strum begins, when the program is told; None when it has to find the strokes itself.
    """

    name: str
    samples: Samples
    sample_rate_hz: int
    truth: Truth
    asked_s: float | None = None
    until_s: float | None = None


def truth_of(drawn: Drawn, *, strings_known: bool, direction: str | None = None) -> Truth:
    """Write down the truth of a drawn shape."""
    pitches = frets_to_pitches(drawn.frets)
    classes = {pitch % 12 for pitch in pitches}
    power = len(classes) == 2 and drawn.root is not None and drawn.quality is None
    return Truth(
        kind="power" if power else "chord",
        pitches=pitches,
        frets=drawn.frets,
        strings_known=strings_known,
        root=drawn.root,
        quality=drawn.quality,
        direction=direction,
    )


def random_for(row: str, seed: int, number: int) -> np.random.Generator:
    """Return the random numbers of one case: the same for the same row, seed and number."""
    return np.random.default_rng([seed, number, *row.encode()])
