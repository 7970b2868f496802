"""What a held chord is called where it is written down: its name as played or as it sounds, or its number in the key.

Conventions: texts are in the trade's printed signs; :meth:`listen.export.style.TextStyle.plain` turns them into plain
letters where only those can be shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from listen.export.bar import Change
from listen.export.labels import printed
from listen.reading import ChordName, ChordSpan, KeyReading, Part
from listen.theory import Chord, Key, chord_to_nashville, chord_to_roman

NameStyle = Literal["played", "sounding", "nashville", "roman"]
NO_CHORD = "N.C."


@dataclass(frozen=True, slots=True)
class HeldNames:
    """How the chords of one part are called.

    Parameters
    ----------
    part : Part
    style : "played", "sounding", "nashville" or "roman"
        ``played`` the form that the hand sees under a capo or in another tuning; ``nashville`` and ``roman`` the
        number in the key. Without a key the sounding names stand in for numbers.
    """

    part: Part
    style: NameStyle = "played"

    @property
    def remark(self) -> str:
        """Say which names these are, where that is not plain."""
        if self.style == "played" and any(span.name and span.name.played_as for span in self.part.spans):
            return "names as played"
        if self.style in {"nashville", "roman"}:
            key = find_key(self.part.key)
            return "no key was found: names as they sound" if key is None else f"1 = {key.tonic.printed}"
        return ""

    def of_name(self, name: ChordName) -> str:
        """Return the text of one name."""
        if name.label:
            return name.label
        key = find_key(self.part.key)
        if self.style == "nashville" and key is not None:
            return chord_to_nashville(name.chord, key)
        if self.style == "roman" and key is not None:
            return chord_to_roman(name.chord, key)
        return self.chord_of(name).printed

    def chord_of(self, name: ChordName) -> Chord:
        """Return the chord that is spelled out: the form where names are as played."""
        return name.played_as if self.style == "played" and name.played_as is not None else name.chord

    def of_span(self, span: ChordSpan) -> str:
        """Return the text of a held chord; its notes or its shape where it has no name."""
        if span.name is not None:
            return self.of_name(span.name)
        if span.notes:
            return "(" + " ".join(printed(note.pitch.name.rstrip("-0123456789")) for note in span.notes) + ")"
        return f"({span.shape.shape.text})" if span.shape is not None else "(?)"

    def of_change(self, change: Change) -> str:
        """Return the text of what begins at a place."""
        if change.span is not None:
            return self.of_span(change.span)
        return NO_CHORD if change.kind == "none" else f"listen {clock_text(change.time_s)}"


def find_key(reading: KeyReading | None) -> Key | None:
    """Return the key that spells and counts chords; None where there is none that can be signed."""
    if reading is None:
        return None
    try:
        return Key(reading.tonic, reading.mode)
    except ValueError:
        return None


def clock_text(seconds: float) -> str:
    """Return a time as a player's clock shows it.

    Examples
    --------
    >>> clock_text(83.25), clock_text(3600.0)
    ('1:23', '60:00')
    """
    return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"
