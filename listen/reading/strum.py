"""A strum as it was read: its notes, its bass, its names, its shapes, each with a probability.

Conventions: probabilities 0..1, calibrated; ranked tuples, best first; notes low to high.
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.evidence import StrumEvidence
from listen.instrument import Fingering, Fretboard, Shape
from listen.theory import Chord, Pitch


@dataclass(frozen=True, slots=True)
class NoteReading:
    """A note that sounds.

    Parameters
    ----------
    pitch : Pitch
    probability : float
    deviation_cents : float or None
        Against the tempered pitch, the recording's offset taken out.
    """

    pitch: Pitch
    probability: float
    deviation_cents: float | None = None


@dataclass(frozen=True, slots=True)
class ChordName:
    """One name for the notes.

    Parameters
    ----------
    chord : Chord
        As it sounds.
    probability : float
    missing : tuple of str
        Degrees of the chord that do not sound (``"5"``).
    unexplained : tuple of str
        Notes that sound and are no tone of the chord (``"F#"``).
    played_as : Chord or None
        The form that the hand sees under a capo or in another tuning; None where it is the same.
    label : str
        What is printed instead of the symbol: two notes are an interval (``"C–E, a major third"``); else empty.
    """

    chord: Chord
    probability: float
    missing: tuple[str, ...] = ()
    unexplained: tuple[str, ...] = ()
    played_as: Chord | None = None
    label: str = ""

    @property
    def text(self) -> str:
        """The name in plain letters."""
        return self.label or self.chord.text

    @property
    def printed(self) -> str:
        """The name with the printed signs ♯ and ♭."""
        return self.label or self.chord.printed


@dataclass(frozen=True, slots=True)
class Shares:
    """What each side said for a shape, in natural log-odds against its strongest rival.

    The rival of the best shape is the second; the rival of every other shape is the best.

    Parameters
    ----------
    ear, hand, book : float
        Sound (pitches and strings), ease for the hand, and how common the shape is.
    stroke : float
        Whether the shape sounds whole, or how usual it is that just these strings of it do.
    """

    ear: float
    hand: float
    book: float
    stroke: float = 0.0


@dataclass(frozen=True, slots=True)
class ShapeReading:
    """One shape that may have been held.

    Parameters
    ----------
    shape : Shape
    fingering : Fingering
    probability : float
    why : Shares
    same_sound : tuple of int
        Places, in the same ranking, of shapes with the very same pitches.
    silent : tuple of int
        Strings that are held and did not sound, as places in the shape's frets.
    brushed : tuple of int
        Open strings that sounded and are no part of the shape.
    """

    shape: Shape
    fingering: Fingering
    probability: float
    why: Shares
    same_sound: tuple[int, ...] = ()
    silent: tuple[int, ...] = ()
    brushed: tuple[int, ...] = ()

    @property
    def sounded(self) -> Shape:
        """What of the shape sounded, with the open strings that were brushed."""
        return Shape(
            tuple(
                None if string in self.silent else 0 if string in self.brushed else fret
                for string, fret in enumerate(self.shape.frets)
            )
        )


@dataclass(frozen=True, slots=True)
class StrumReading:
    """What one strum was read as.

    Parameters
    ----------
    evidence : StrumEvidence
    fretboard : Fretboard
        What it was read on.
    notes : tuple of NoteReading
        Those that sound, low to high.
    bass : NoteReading or None
    names : tuple of ChordName
    shapes : tuple of ShapeReading
    refused : str or None
        Why no chord is named, as a sentence; None when one is.
    """

    evidence: StrumEvidence
    fretboard: Fretboard
    notes: tuple[NoteReading, ...] = ()
    bass: NoteReading | None = None
    names: tuple[ChordName, ...] = ()
    shapes: tuple[ShapeReading, ...] = ()
    refused: str | None = None

    @property
    def out_of_reach(self) -> tuple[Pitch, ...]:
        """Notes that sound and that no string of the fretboard has."""
        board = self.fretboard
        return tuple(
            note.pitch
            for note in self.notes
            if not any(0 <= note.pitch.midi - pitch.midi <= board.top_fret for pitch in board.open_pitches)
        )


@dataclass(frozen=True, slots=True)
class TakeReading:
    """What a recording of a strum was read as.

    Parameters
    ----------
    file : str
        The recording's name, without its folders.
    channel : str
        What was listened to: ``"mix"``, ``"left"``, ``"right"`` or ``"side"``.
    warnings : tuple of str
        What about the recording may have hurt the reading, as sentences.
    reading : StrumReading
        Of the strongest strum.
    other_strums_s : tuple of float
        When the others begin.
    """

    file: str
    channel: str
    warnings: tuple[str, ...]
    reading: StrumReading
    other_strums_s: tuple[float, ...] = ()
