"""Keys: tonic and mode, their signature and scale, and how a key spells what sounds.

A tone of the scale has its letter there. A tone outside it is spelled by what it does: lowered second, third, sixth and
seventh (borrowed from the parallel minor) and raised fourth; the root of a diminished chord is a raised tone, the
leading tone to the one above (Aldwell & Schachter, *Harmony and Voice Leading*, on chromatic chords; from memory).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from listen.errors import bad_value
from listen.theory.chord import ChordQuality
from listen.theory.interval import Interval
from listen.theory.pitch import Pitch
from listen.theory.spelled_pitch import SpelledPitch
from listen.theory.spelling import Note

Mode = Literal["major", "minor"]
SCALES: dict[Mode, tuple[Interval, ...]] = {
    "major": tuple(map(Interval.parse, ("1", "2", "3", "4", "5", "6", "7"))),
    "minor": tuple(map(Interval.parse, ("1", "2", "b3", "4", "5", "b6", "b7"))),
}
_BY_SEMITONE = tuple(map(Interval.parse, ("1", "b2", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7")))
_LEADING = tuple(map(Interval.parse, ("1", "#1", "2", "#2", "3", "4", "#4", "5", "#5", "6", "#6", "7")))
_FIFTHS = "FCGDAEB"
_KEY = re.compile(r"([A-G](?:#|b|♯|♭)?)\s*(m|min|minor|maj|major)?")
_MOST_FIFTHS = 7  # beyond seven accidentals there is no key signature


@dataclass(frozen=True, slots=True)
class Key:
    """A tonic and a mode.

    Parameters
    ----------
    tonic : Note
    mode : "major" or "minor"

    Examples
    --------
    >>> key = Key.parse("F#m")
    >>> key.text, key.signature, [str(note) for note in key.scale]
    ('F# minor', 3, ['F#', 'G#', 'A', 'B', 'C#', 'D', 'E'])
    """

    tonic: Note
    mode: Mode

    def __post_init__(self) -> None:
        if self.mode not in SCALES:
            raise bad_value("mode", self.mode, allowed="major or minor")
        if abs(self.signature) > _MOST_FIFTHS:
            raise bad_value(
                "key", f"{self.tonic} {self.mode}", allowed="a key with at most seven sharps or flats",
                remedy=f"Write {Note.plain(self.tonic.pitch_class)} {self.mode}.",
            )  # fmt: skip

    @property
    def signature(self) -> int:
        """Sharps of the key signature, negative for flats (MusicXML's ``fifths``)."""
        return _count_fifths(self.tonic, self.mode)

    @property
    def text(self) -> str:
        """The name in plain letters, e.g. ``Bb major``."""
        return f"{self.tonic} {self.mode}"

    @property
    def printed(self) -> str:
        """The name with the printed signs, e.g. ``B♭ major``."""
        return f"{self.tonic.printed} {self.mode}"

    @property
    def scale(self) -> tuple[Note, ...]:
        """The seven notes of the scale from the tonic up; the natural scale in minor."""
        return tuple(self.tonic.above(step) for step in SCALES[self.mode])

    @property
    def pitch_classes(self) -> frozenset[int]:
        """The pitch classes of the scale."""
        return frozenset(note.pitch_class for note in self.scale)

    def degree_of(self, note: Note) -> Interval:
        """Return the degree of a note, counted on the major scale of the tonic (``b7`` for B♭ in C).

        A note that is called plainly has the degree of its name in the key: F in F♯ is 7, as E♯ is.
        """
        named = self.spell(note.pitch_class)
        return self.tonic.interval_to(named if named.is_rare else note)

    def spell(self, pitch_class: int) -> Note:
        """Return what a pitch class is called in this key.

        Examples
        --------
        >>> [str(Key.parse(name).spell(10)) for name in ("C", "B", "Bm", "F")]
        ['Bb', 'A#', 'A#', 'Bb']
        """
        return self.tonic.above(_BY_SEMITONE[(pitch_class - self.tonic.pitch_class) % 12])

    def spell_root(self, pitch_class: int, quality: ChordQuality) -> Note:
        """Return what the root of a chord is called in this key: a diminished chord outside it stands on a raised tone.

        A chord that is not the key's own is called plainly where its root would be a double flat, E♯ or the like: C in
        F♯, not B♯ (common practice of printed charts, no source).

        Examples
        --------
        >>> from listen.theory.qualities import find_quality
        >>> key = Key.parse("C")
        >>> str(key.spell_root(8, find_quality("dim7"))), str(key.spell_root(8, find_quality("major")))
        ('G#', 'Ab')
        """
        steps = {tone.pitch_class for tone in quality.tones}
        if {3, 6} <= steps and 7 not in steps and pitch_class % 12 not in self.pitch_classes:
            raised = self.tonic.above(_LEADING[(pitch_class - self.tonic.pitch_class) % 12])
            if abs(raised.accidental) < 2:
                return raised
        named = self.spell(pitch_class)
        triad = {(pitch_class + tone.pitch_class) % 12 for tone in quality.tones if tone.degree in (1, 3, 5)}
        return Note.plain(pitch_class) if named.is_rare and not triad <= self.pitch_classes else named

    def spell_key(self, other: Key) -> Key:
        """Return another key as it is called beside this one: its tonic as in this scale, where it has a signature so.

        Examples
        --------
        >>> Key.parse("Ebm").spell_key(Key.parse("F#")).text, Key.parse("E").spell_key(Key.parse("F#")).text
        ('Gb major', 'F# major')
        """
        tonic = self.spell(other.tonic.pitch_class)
        if tonic not in self.scale or abs(_count_fifths(tonic, other.mode)) > _MOST_FIFTHS:
            return other
        return Key(tonic, other.mode)

    @classmethod
    def parse(cls, text: str) -> Key:
        """Read ``G``, ``F#m``, ``B♭ major``, ``C# minor``.

        Raises
        ------
        BadValueError
            The text is not a key, or has more than seven accidentals.
        """
        match = _KEY.fullmatch(text.strip())
        if match is None:
            raise bad_value(
                "key", text, allowed="a tonic with or without m, major or minor", remedy="Write G, Em or Bb major."
            )
        tonic, mode = match.groups(default="")
        return cls(Note.parse(tonic), "minor" if mode.startswith("m") and not mode.startswith("maj") else "major")


def _count_fifths(tonic: Note, mode: Mode) -> int:
    fifths = _FIFTHS.index(tonic.letter) - 1 + 7 * tonic.accidental
    return fifths - 3 if mode == "minor" else fifths


def spell_pitch(pitch: Pitch, key: Key) -> SpelledPitch:
    """Return a sounding pitch as it is written in a key.

    Examples
    --------
    >>> spell_pitch(Pitch(60), Key.parse("C#")).text, spell_pitch(Pitch(59), Key.parse("Cb")).text
    ('B#3', 'Cb4')
    """
    return SpelledPitch.of(pitch, key.spell(pitch.pitch_class))
