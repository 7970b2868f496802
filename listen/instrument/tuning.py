"""Tunings: what the open strings sound.

Conventions: the highest-numbered string first and string 1 last, whatever their pitch (a re-entrant ukulele begins
with its high g). A *course* is one string, or two tuned in unison or in octaves that are fretted together.
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.errors import bad_value
from listen.theory import Pitch

MOST_STRINGS = 10  # courses; harps and zithers are no necks
LOWEST_OPEN = Pitch(16)  # E0, below every bass in the trade
HIGHEST_OPEN = Pitch(88)  # E6, an octave above a mandolin's top course
MOST_STRINGS_OF_A_CHORD_INSTRUMENT = 5
LOWEST_OF_A_CHORD_INSTRUMENT = Pitch(48)  # C3, a tenor guitar's lowest string


@dataclass(frozen=True, slots=True)
class Tuning:
    """The open strings of an instrument.

    Parameters
    ----------
    name : str
        What the tuning is called, e.g. ``"standard"``.
    open_strings : tuple of Pitch
        Highest-numbered string first.
    companions : tuple of int or None
        For each string, the semitones above it of the second string of its course; None for a single string.
        Empty when no string is doubled.

    Raises
    ------
    BadValueError
        No string or more than ten, or an open string below E0 or above E6.
    """

    name: str
    open_strings: tuple[Pitch, ...]
    companions: tuple[int | None, ...] = ()

    def __post_init__(self) -> None:
        if not 1 <= len(self.open_strings) <= MOST_STRINGS:
            raise bad_value(
                "tuning", f"{len(self.open_strings)} strings", allowed=f"1 to {MOST_STRINGS} open strings",
                remedy="Count a doubled course once.",
            )  # fmt: skip
        for pitch in self.open_strings:
            if not LOWEST_OPEN <= pitch <= HIGHEST_OPEN:
                raise bad_value(
                    "tuning", pitch.name, allowed=f"open strings from {LOWEST_OPEN.name} to {HIGHEST_OPEN.name}",
                    remedy="A guitar's sixth string is E2.",
                )  # fmt: skip

    @property
    def n_strings(self) -> int:
        """How many strings (courses) there are."""
        return len(self.open_strings)

    @property
    def is_reentrant(self) -> bool:
        """Whether the highest-numbered string is not the lowest: what sounds lowest is then nobody's bass."""
        return self.open_strings[0] > min(self.open_strings)

    @property
    def bears_bass(self) -> bool:
        """Whether what sounds lowest is heard as the bass: not on small instruments that play chords above one.

        Four or five strings from :data:`LOWEST_OF_A_CHORD_INSTRUMENT` up (ukulele, mandolin, tenor guitar) give chords
        in whatever inversion lies well (common practice, no source).
        """
        small = self.n_strings <= MOST_STRINGS_OF_A_CHORD_INSTRUMENT
        return not self.is_reentrant and not (small and self.open_strings[0] >= LOWEST_OF_A_CHORD_INSTRUMENT)

    @property
    def text(self) -> str:
        """The open strings in words: ``E2 A2 D3 G3 B3 E4``."""
        return " ".join(pitch.name for pitch in self.open_strings)


STANDARD = Tuning("standard", tuple(Pitch(midi) for midi in (40, 45, 50, 55, 59, 64)))
