"""What a held chord is called where it is written down: its name as played or as it sounds, or its number in the key.

Conventions: texts are in the trade's printed signs; :meth:`listen.export.style.TextStyle.plain` turns them into plain
letters where only those can be shown.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Literal

from listen.export.bar import Change, find_meant_bar
from listen.export.labels import pitch_text, printed
from listen.export.spell import spell_played
from listen.harmony import measure_shift
from listen.reading import NO_CHORD, ChordName, ChordSpan, Part, PartKey, clock_text
from listen.theory import Chord, Interval, Key, Note, Pitch, chord_to_nashville, chord_to_roman

NameStyle = Literal["played", "sounding", "nashville", "roman"]
_STEPS = ("b2", "2", "b3", "3", "4", "#4", "b5", "5", "b6", "6", "b7", "7")


@dataclass(frozen=True, slots=True)
class HeldNames:
    """How the chords of one part are called.

    Parameters
    ----------
    part : Part
    style : "played", "sounding", "nashville" or "roman"
        ``played`` the form that the hand sees under a capo or in another tuning; ``nashville`` and ``roman`` the
        number in the key. Without a key the sounding names stand in for numbers.
    bar : int or None
        Whose key spells and counts what is no held chord; None: the key in which the part begins.
    """

    part: Part
    style: NameStyle = "played"
    bar: int | None = None

    @property
    def shift(self) -> int:
        """By how many semitones what sounds lies above what is written: 0 unless names are as played."""
        return measure_shift(self.part.fretboard) if self.style == "played" else 0

    @property
    def sounding_key(self) -> Key | None:
        """The key that sounds."""
        return find_key(self.part.key if self.bar is None else self.part.key_at(self.bar))

    @property
    def key(self) -> Key | None:
        """The key that is written: that of the forms where names are as played."""
        key = self.sounding_key
        return key if key is None or self.shift % 12 == 0 else _lower_key(key, self.shift)

    @property
    def key_mark(self) -> str:
        """What stands at a bar where another key begins: ``key of Am:``, or over numbers ``1 = A:``."""
        if self.key is None:
            return ""
        if self.style in {"nashville", "roman"}:
            return f"1 = {self.key.tonic.printed}:"
        return f"key of {self.key.tonic.printed}{'m' if self.key.mode == 'minor' else ''}:"

    def in_bar(self, bar: int | None) -> HeldNames:
        """Return the same names in the key that holds in a bar."""
        return self if bar is None else replace(self, bar=bar)

    @property
    def remark(self) -> str:
        """Say which names these are, where that is not plain."""
        key = self.sounding_key
        if self.style == "played" and self.shift % 12:
            if key is None or self.key is None:
                return "names of the forms that the hand plays"
            minor = "m" if key.mode == "minor" else ""
            return f"play in {self.key.tonic.printed}{minor}, sounds in {key.tonic.printed}{minor}"
        if self.style in {"nashville", "roman"}:
            return "no key was found: names as they sound" if key is None else f"1 = {key.tonic.printed}"
        return ""

    def of_note(self, pitch: Pitch, chord: Chord | None = None) -> str:
        """Return the letter of a note of a melody, spelled by the chord held or the key, as played or as it sounds."""
        return spell_played(Pitch(pitch.midi - self.shift), chord, self.key).note.printed

    def also_sounds(self, name: ChordName | None) -> str:
        """Say what a name sounds, where it is called otherwise; may be empty."""
        if name is None or name.label or self.chord_of(name) == name.chord:
            return ""
        return f"sounds {name.chord.printed}"

    def of_pitch(self, pitch: Pitch, name: ChordName | None) -> str:
        """Return a note with its octave, as played or as it sounds, spelled by the chord that it is in."""
        return printed(pitch_text(Pitch(pitch.midi - self.shift), None if name is None else self.chord_of(name)))

    def of_name(self, name: ChordName) -> str:
        """Return the text of one name; two notes alone are called by their letters."""
        if name.label:
            chord = self.chord_of(name)
            return "–".join(dict.fromkeys(note.printed for note in (chord.sounding_bass, *chord.notes)))
        key = self.sounding_key
        if self.style == "nashville" and key is not None:
            return chord_to_nashville(name.chord, key)
        if self.style == "roman" and key is not None:
            return chord_to_roman(name.chord, key)
        return self.chord_of(name).printed

    def chord_of(self, name: ChordName) -> Chord:
        """Return the chord that is spelled out: the form where names are as played."""
        return name.played_as if self.style == "played" and name.played_as is not None else name.chord

    def of_span(self, span: ChordSpan) -> str:
        """Return the text of a held chord; its notes or its shape where it has no name.

        Two notes are called by the chord that they stand for, where one is found, with their letters beside it.
        """
        names = self.in_bar(_find_bar(self.part, span))
        if span.name is not None and span.name.label:
            meant, tones = find_meant(span), names.of_name(span.name)
            return tones if meant is None or meant.label else f"{names.of_name(meant)} ({tones})"
        if span.name is not None:
            return names.of_name(span.name)
        if span.notes:
            return "(" + " ".join(printed(note.pitch.name.rstrip("-0123456789")) for note in span.notes) + ")"
        return f"({span.shape.shape.text})" if span.shape is not None else "(?)"

    def of_change(self, change: Change) -> str:
        """Return the text of what begins at a place."""
        if change.span is not None:
            return self.of_span(change.span)
        return NO_CHORD if change.kind == "none" else f"listen {clock_text(change.time_s)}"


def find_meant(span: ChordSpan) -> ChordName | None:
    """Return the name of a held chord; of two notes that of the chord that they stand for, where one is known.

    It is over the lower of the two: F–A stands for F, and not for F/A.
    """
    if span.name is None or not span.name.label:
        return span.name
    bass = span.name.chord.sounding_bass
    return next((one for one in span.names if not one.label and one.chord.sounding_bass == bass), span.name)


def _find_bar(part: Part, span: ChordSpan) -> int | None:
    """Return the bar that a held chord belongs to; None in free time."""
    return None if span.position is None else find_meant_bar(part, span.position, is_pushed="pushed" in span.marks)


def _lower_key(key: Key, semitones: int) -> Key | None:
    """Return the key so many semitones lower, in the spelling with the shorter signature."""
    pitch_class = (key.tonic.pitch_class - semitones) % 12
    found = []
    for note in {Note.plain(pitch_class), *(key.tonic.above(Interval.parse(step)) for step in _STEPS)}:
        if note.pitch_class == pitch_class:
            with suppress(ValueError):
                found.append(Key(note, key.mode))
    return min(found, key=lambda one: (abs(one.signature), one.signature), default=None)


def find_key(reading: PartKey | None) -> Key | None:
    """Return the key that spells and counts chords; None where there is none that can be signed."""
    if reading is None:
        return None
    try:
        return Key(reading.tonic, reading.mode)
    except ValueError:
        return None


def exact_clock_text(seconds: float) -> str:
    """Return a time as a player's clock shows it, with a tenth of a second where it is no whole one.

    Examples
    --------
    >>> exact_clock_text(83.25), exact_clock_text(0.4), exact_clock_text(59.99)
    ('1:23.2', '0:00.4', '1:00')
    """
    tenths = round(10 * seconds)
    return clock_text(tenths / 10) + (f".{tenths % 10}" if tenths % 10 else "")
