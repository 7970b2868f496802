"""Pitches: a key on the piano, whatever it is called.

Conventions: MIDI numbers, C4 = 60 (scientific pitch notation); A4 = 69 = 440 Hz; equal temperament.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from listen.errors import bad_value

A4_MIDI = 69
A4_HZ = 440.0  # ISO 16:1975
PLAIN_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS = {
    "": 0,
    "#": 1,
    "♯": 1,
    "b": -1,
    "♭": -1,
    "##": 2,
    "x": 2,
    "𝄪": 2,
    "bb": -2,
    "♭♭": -2,
    "𝄫": -2,
    "♯♯": 2,
}
_PITCH = re.compile(r"([A-Ga-g])(##|x|bb|#|b|♯♯|♭♭|♯|♭|𝄪|𝄫)?(-?\d+)")


def is_pitch_text(text: str) -> bool:
    """Tell whether a text is a letter, an accidental and an octave, in MIDI's range or beyond it.

    Examples
    --------
    >>> is_pitch_text("F#3"), is_pitch_text("Bbb-1"), is_pitch_text("C"), is_pitch_text("x32010")
    (True, True, False, False)
    """
    return _PITCH.fullmatch(text.strip()) is not None


@dataclass(frozen=True, slots=True, order=True)
class Pitch:
    """A sounding pitch of the tempered scale.

    Parameters
    ----------
    midi : int
        0..127, C4 = 60.

    Examples
    --------
    >>> Pitch(45)
    Pitch('A2')
    >>> Pitch.parse("F#3").midi, Pitch.nearest(82.4)
    (54, Pitch('E2'))
    """

    midi: int

    def __post_init__(self) -> None:
        if not 0 <= self.midi <= 127:
            raise bad_value("pitch", self.midi, allowed="a MIDI number from 0 to 127 (C4 = 60)")

    def __repr__(self) -> str:
        return f"Pitch({self.name!r})"

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0..11."""
        return self.midi % 12

    @property
    def octave(self) -> int:
        """The octave of scientific pitch notation: C4 to B4 are 4."""
        return self.midi // 12 - 1

    @property
    def name(self) -> str:
        """A plain name such as ``Bb3``; the key decides better names (see :mod:`listen.theory.spelling`)."""
        return f"{PLAIN_NAMES[self.pitch_class]}{self.octave}"

    @property
    def frequency_hz(self) -> float:
        """Frequency at A4 = 440 Hz.

        Examples
        --------
        >>> round(Pitch.parse("E2").frequency_hz, 2)
        82.41
        """
        return float(A4_HZ * 2.0 ** ((self.midi - A4_MIDI) / 12.0))

    def shifted(self, semitones: int) -> Pitch:
        """Return the pitch so many semitones higher."""
        return Pitch(self.midi + semitones)

    @classmethod
    def parse(cls, text: str) -> Pitch:
        """Read scientific pitch notation: letter, accidental, octave.

        Raises
        ------
        BadValueError
            The text is not a pitch such as ``E2``, ``F#3`` or ``B♭3``.
        """
        match = _PITCH.fullmatch(text.strip())
        if match is None:
            raise bad_value(
                "pitch", text, allowed="a letter, an accidental and an octave", remedy="Write E2, F#3 or Bb3."
            )
        letter, accidental, octave = match.groups(default="")
        midi = 12 * (int(octave) + 1) + _LETTERS[letter.upper()] + _ACCIDENTALS[accidental]
        if not 0 <= midi <= 127:
            raise bad_value(
                "pitch",
                text,
                allowed="a note from C-1 to G9",
                remedy="The number is its octave: a guitar's are 2 to 6.",
            )
        return cls(midi)

    @classmethod
    def nearest(cls, frequency_hz: float) -> Pitch:
        """Return the pitch nearest to a frequency (Hz, at A4 = 440)."""
        if not frequency_hz > 0:
            raise bad_value("frequency", frequency_hz, allowed="a positive number of Hz")
        return cls(round(A4_MIDI + 12.0 * math.log2(frequency_hz / A4_HZ)))
