"""How a part is counted: its metre and its tempo."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from listen.reading.event import STEPS_PER_BEAT

SWUNG = 0.58  # where an off-beat lies later than this in its beat, the metre is said to swing; judged


@dataclass(frozen=True, slots=True)
class Metre:
    """A pulse and how it is counted, as one hypothesis.

    Parameters
    ----------
    beats_per_bar : int
        As it is felt: 2 for 6/8, 4 for 12/8.
    beat_unit : int
        The denominator of the signature: 4, 8.
    division : int
        How many parts a beat falls into: 2 straight, 3 compound or swung.
    tempo_bpm : float
        Felt beats a minute, the median over the part.
    swing : float
        Where the off-beat lies inside the beat: .5 straight, .667 full swing; only for simple metres.
    pickup_steps : int
        Length of the pickup bar, 0 for none.
    probability : float

    Examples
    --------
    >>> Metre(2, 8, 3, 60.0).signature, Metre(4, 4, 2, 120.0).signature, Metre(4, 4, 2, 120.0, swing=0.64).text
    ('6/8', '4/4', '4/4 swing, 120 beats a minute')
    """

    beats_per_bar: int
    beat_unit: int
    division: int
    tempo_bpm: float
    swing: float = 0.5
    pickup_steps: int = 0
    probability: float = 1.0

    @property
    def is_compound(self) -> bool:
        """Whether a beat is a dotted note (6/8, 9/8, 12/8)."""
        return self.beat_unit == 8 and self.division == 3

    @property
    def is_swung(self) -> bool:
        """Whether the off-beats of a simple metre lie so late in their beats that it is said to swing."""
        return self.swing >= SWUNG and not self.is_compound

    @property
    def signature(self) -> str:
        """As it is written at the head: ``3/4``, ``6/8``."""
        return f"{self.beats_per_bar * (3 if self.is_compound else 1)}/{self.beat_unit}"

    @property
    def steps_per_bar(self) -> int:
        """How many steps of the grid a full bar has."""
        return self.beats_per_bar * STEPS_PER_BEAT

    @property
    def quarters_per_beat(self) -> Fraction:
        """The written length of a beat in quarter notes: 1 in 4/4, 3/2 in 6/8."""
        return Fraction(4, self.beat_unit) * (3 if self.is_compound else 1)

    @property
    def text(self) -> str:
        """For the head of a chart."""
        swung = " swing" if self.is_swung else ""
        return f"{self.signature}{swung}, {self.tempo_bpm:.0f} beats a minute"
