"""Spelling: which letter a tone is written with.

A chord is spelled by letter: each degree has the letter that lies so many letters above the root, so F♯7 holds A♯ and
never B♭ (Kostka & Payne, *Tonal Harmony*, chapter on triads and sevenths; from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from listen.errors import bad_value
from listen.theory.interval import Interval
from listen.theory.pitch import PLAIN_NAMES

LETTERS = "CDEFGAB"
LETTER_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
PLAIN_INTERVALS = tuple(map(Interval.parse, ("1", "b2", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7")))
_NOTE = re.compile(r"([A-Ga-g])(#{0,3}|b{1,3}|♯{1,3}|♭{1,3}|x#?|𝄪|𝄫)")
_SHIFTS = {"#": 1, "♯": 1, "b": -1, "♭": -1, "x": 2, "𝄪": 2, "𝄫": -2}
_ASCII = {-3: "bbb", -2: "bb", -1: "b", 0: "", 1: "#", 2: "##", 3: "###"}
_NATURALS_WITH_A_SIGN = {"E#", "B#", "Cb", "Fb"}
_PRINTED = {-3: "♭♭♭", -2: "♭♭", -1: "♭", 0: "", 1: "♯", 2: "♯♯", 3: "♯♯♯"}


@dataclass(frozen=True, slots=True, order=True)
class Note:
    """A spelled pitch class: a letter and an accidental.

    Parameters
    ----------
    letter : str
        ``"C"`` to ``"B"``.
    accidental : int
        Semitones, -3..3; sharps are positive.

    Examples
    --------
    >>> sharp = Note.parse("F#")
    >>> str(sharp.above(Interval.parse("3"))), Note.parse("Bb").printed, Note.parse("Cb").pitch_class
    ('A#', 'B♭', 11)
    """

    letter: str
    accidental: int = 0

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0..11."""
        return (LETTER_SEMITONES[LETTERS.index(self.letter)] + self.accidental) % 12

    def __str__(self) -> str:
        return f"{self.letter}{_ASCII[self.accidental]}"

    @property
    def printed(self) -> str:
        """The name with the printed signs ♯ and ♭."""
        return f"{self.letter}{_PRINTED[self.accidental]}"

    @property
    def is_rare(self) -> bool:
        """Whether no chart has a root of this name unless its key has it: a double accidental, E♯, B♯, C♭ or F♭."""
        return abs(self.accidental) > 1 or str(self) in _NATURALS_WITH_A_SIGN

    def above(self, interval: Interval) -> Note:
        """Return the note an interval above this one, spelled by letter."""
        letter = LETTERS[(LETTERS.index(self.letter) + interval.degree - 1) % 7]
        wanted = self.pitch_class + interval.semitones
        natural = LETTER_SEMITONES[LETTERS.index(letter)]
        accidental = (wanted - natural + 6) % 12 - 6
        if abs(accidental) > 3:
            return Note.plain(wanted)
        return Note(letter, accidental)

    def interval_to(self, other: Note) -> Interval:
        """Return the interval from this note up to another one, within an octave, counted by letter.

        Examples
        --------
        >>> str(Note.parse("D").interval_to(Note.parse("C"))), str(Note.parse("F#").interval_to(Note.parse("A")))
        ('b7', 'b3')
        """
        degree = (LETTERS.index(other.letter) - LETTERS.index(self.letter)) % 7 + 1
        rise = (other.pitch_class - self.pitch_class) % 12
        alteration = (rise - Interval(degree).semitones + 6) % 12 - 6
        if abs(alteration) > 2:  # three accidentals apart: count the sound, not the letters
            return PLAIN_INTERVALS[rise]
        return Interval(degree, alteration)

    @classmethod
    def plain(cls, pitch_class: int) -> Note:
        """Return the usual name of a pitch class where no key decides (C C♯ D E♭ E F F♯ G A♭ A B♭ B)."""
        return cls.parse(PLAIN_NAMES[pitch_class % 12])

    @classmethod
    def parse(cls, text: str) -> Note:
        """Read ``C``, ``F#``, ``B♭``.

        Raises
        ------
        BadValueError
            The text is not a letter from A to G with an accidental.
        """
        match = _NOTE.fullmatch(text.strip())
        if match is None:
            raise bad_value(
                "note", text, allowed="a letter from A to G with # or b after it", remedy="Write C, F# or Bb."
            )
        letter, signs = match.groups()
        shift = sum(_SHIFTS[sign] for sign in signs)
        return cls(letter.upper(), shift)


def spell_beside(pitch_class: int, notes: Iterable[Note]) -> Note:
    """Name a note that belongs to none of these: by its letter alone, or with the sign that they use.

    Examples
    --------
    >>> str(spell_beside(8, map(Note.parse, "EGB"))), str(spell_beside(8, map(Note.parse, ("Bb", "D", "F"))))
    ('G#', 'Ab')
    """
    sign = -1 if sum(note.accidental for note in notes) < 0 else 1
    names = (Note(letter, shift) for shift in (0, sign) for letter in LETTERS)
    return next(note for note in names if note.pitch_class == pitch_class)
