"""Tunings: what the open strings sound.

Conventions: the highest-numbered string first and string 1 last, whatever their pitch (a re-entrant ukulele begins
with its high g). A *course* is one string, or two tuned in unison or in octaves that are fretted together.
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.theory import Pitch


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
    """

    name: str
    open_strings: tuple[Pitch, ...]
    companions: tuple[int | None, ...] = ()

    @property
    def n_strings(self) -> int:
        """How many strings (courses) there are."""
        return len(self.open_strings)

    @property
    def text(self) -> str:
        """The open strings in words: ``E2 A2 D3 G3 B3 E4``."""
        return " ".join(pitch.name for pitch in self.open_strings)


STANDARD = Tuning("standard", tuple(Pitch(midi) for midi in (40, 45, 50, 55, 59, 64)))
