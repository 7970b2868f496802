"""The neck: an instrument's strings, frets, capo and scale length.

Conventions: fret 0 is the open string; frets of a :class:`~listen.instrument.shape.Shape` count from the capo where
one is set (fret 2 over a capo at 3 lies at wire 5). Distances are millimetres from the nut along the string; wire n
lies at L·(1 − 2^(−n/12)) (the 12-tone rule; any lutherie handbook).
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.errors import bad_value
from listen.instrument.tuning import STANDARD, Tuning
from listen.theory import Pitch

LEAST_FRETS, MOST_FRETS = 4, 36
SCALE_LENGTH_MM = 648.0  # 25.5 in, the commonest electric and steel-string scale (hand-book value)


@dataclass(frozen=True, slots=True)
class Fretboard:
    """What the hand has before it.

    Parameters
    ----------
    tuning : Tuning
    n_frets : int
        Frets on the neck counted from the nut, 12..27.
    capo_fret : int
        0 for none.
    scale_length_mm : float

    Examples
    --------
    >>> neck = Fretboard(capo_fret=3)
    >>> neck.pitch_at(0, 2), round(neck.wire_mm(9)), neck.top_fret
    (Pitch('A2'), 324, 19)
    """

    tuning: Tuning = STANDARD
    n_frets: int = 22
    capo_fret: int = 0
    scale_length_mm: float = SCALE_LENGTH_MM

    def __post_init__(self) -> None:
        if not LEAST_FRETS <= self.n_frets <= MOST_FRETS:
            raise bad_value("frets", self.n_frets, allowed=f"a number of frets from {LEAST_FRETS} to {MOST_FRETS}")
        if not 0 <= self.capo_fret <= self.n_frets - 3:
            raise bad_value(
                "capo",
                self.capo_fret,
                allowed=f"a fret from 0 to {self.n_frets - 3} on this neck of {self.n_frets} frets",
                remedy="Count frets from the nut; 0 means no capo.",
            )
        if not 200 <= self.scale_length_mm <= 1200:
            raise bad_value("scale length", self.scale_length_mm, allowed="200 to 1200 mm")

    @property
    def n_strings(self) -> int:
        """How many strings there are."""
        return self.tuning.n_strings

    def is_low_string(self, string_index: int) -> bool:
        """Tell whether a string is one for basses: of the lower half, 6 to 4 of six (common practice, no source)."""
        return string_index < self.n_strings / 2 and self.tuning.bears_bass

    @property
    def top_fret(self) -> int:
        """The highest fret, counted from the capo."""
        return self.n_frets - self.capo_fret

    @property
    def open_pitches(self) -> tuple[Pitch, ...]:
        """What the open strings sound with the capo on."""
        return tuple(pitch.shifted(self.capo_fret) for pitch in self.tuning.open_strings)

    def pitch_at(self, string_index: int, fret: int) -> Pitch:
        """Return what a string sounds at a fret counted from the capo."""
        return self.tuning.open_strings[string_index].shifted(self.capo_fret + fret)

    def wire_mm(self, fret: int) -> float:
        """Return the distance of a fret's wire from the nut; the fret is counted from the capo."""
        return float(self.scale_length_mm * (1.0 - 2.0 ** (-(self.capo_fret + fret) / 12.0)))
