"""Written pitches: a letter, an accidental and an octave.

The octave belongs to the letter (scientific pitch notation): B♯3 sounds as C4, C♭4 as B3.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from listen.errors import bad_value
from listen.theory.pitch import Pitch
from listen.theory.spelling import LETTER_SEMITONES, LETTERS, Note

_WRITTEN = re.compile(r"(.+?)(-?\d+)")


@dataclass(frozen=True, slots=True)
class SpelledPitch:
    """A note name in an octave.

    Parameters
    ----------
    note : Note
    octave : int
        Of the letter.

    Examples
    --------
    >>> SpelledPitch.parse("B#3").pitch, SpelledPitch.parse("Cb4").pitch
    (Pitch('C4'), Pitch('B3'))
    >>> SpelledPitch.parse("Fx4").explained
    'F♯♯4 (G4)'
    """

    note: Note
    octave: int

    @property
    def pitch(self) -> Pitch:
        """What sounds."""
        return Pitch(12 * (self.octave + 1) + LETTER_SEMITONES[LETTERS.index(self.note.letter)] + self.note.accidental)

    @property
    def text(self) -> str:
        """The name in plain letters."""
        return f"{self.note}{self.octave}"

    @property
    def printed(self) -> str:
        """The name with the printed signs."""
        return f"{self.note.printed}{self.octave}"

    @property
    def explained(self) -> str:
        """The printed name; the plain one beside it where an accidental is doubled."""
        if abs(self.note.accidental) < 2:
            return self.printed
        plain = SpelledPitch.of(self.pitch, Note.plain(self.note.pitch_class))
        return f"{self.printed} ({plain.printed})"

    @classmethod
    def of(cls, pitch: Pitch, note: Note) -> SpelledPitch:
        """Write a sounding pitch with a given note name.

        Raises
        ------
        BadValueError
            The note does not sound as that pitch in any octave.
        """
        if note.pitch_class != pitch.pitch_class:
            raise bad_value("note", note, allowed=f"a name of {pitch.name}")
        return cls(note, (pitch.midi - note.accidental) // 12 - 1)

    @classmethod
    def parse(cls, text: str) -> SpelledPitch:
        """Read ``B#3``, ``C♭4``, ``Fx4``.

        Raises
        ------
        BadValueError
            The text is not a letter, an accidental and an octave, or sounds outside MIDI's range.
        """
        match = _WRITTEN.fullmatch(text.strip())
        if match is None:
            raise bad_value("pitch", text, allowed="a letter, an accidental and an octave", remedy="Write B#3 or Cb4.")
        spelled = cls(Note.parse(match.group(1)), int(match.group(2)))
        _ = spelled.pitch  # raises outside MIDI's range
        return spelled
