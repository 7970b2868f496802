"""One short sign for each stroke.

Conventions: an arrow points the way the hand moves. A string picked alone is its number, a note of a line its letter.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from listen.evidence import Direction
from listen.export.bar import PlacedStroke
from listen.export.held_names import HeldNames
from listen.reading import StrokeKind

ALONE: frozenset[StrokeKind] = frozenset({"bass", "single"})  # kinds of strokes that strike a string by itself


def is_alone(placed: PlacedStroke) -> bool:
    """Tell whether strings were struck by themselves, not strummed."""
    return placed.event.kind == "picked" or placed.stroke.kind in ALONE


@dataclass(frozen=True, slots=True)
class Signs:
    """The signs that a place can show.

    Parameters
    ----------
    down, up, untold : str
        Strokes of the chord.
    muted : str
    bass, single : str
        In a pattern: a low string of the chord alone, another string alone.
    top : str
        Added where only the upper strings were struck.
    accent, palm : str
        Added to an accented and to a palm-muted stroke.
    """

    down: str = "↓"
    up: str = "↑"
    untold: str = "↕"
    muted: str = "×"
    bass: str = "B"
    single: str = "•"
    top: str = "'"
    accent: str = ">"
    palm: str = "_"

    def of_direction(self, direction: Direction | None) -> str:
        """Return the arrow."""
        return self.untold if direction is None else self.up if direction == "up" else self.down

    def of_kind(self, kind: StrokeKind, direction: Direction | None) -> str:
        """Return the sign of a strummed stroke."""
        alone = {"muted": self.muted, "bass": self.bass, "single": self.single}.get(kind)
        if alone is not None:
            return alone
        return self.of_direction(direction) + (self.top if kind == "top" else "")

    def of_stroke(self, placed: PlacedStroke, *, names: HeldNames) -> str:
        """Return the sign of a stroke as it was played; notes of a line are spelled as the part's names are."""
        stroke, event = placed.stroke, placed.event
        marks = {*stroke.marks, *event.marks, *(mark for note in stroke.notes for mark in note.marks)}
        extra = (self.accent if "accent" in marks else "") + (self.palm if "palm mute" in marks else "")
        if event.kind == "line" and stroke.notes:
            chord = None if event.name is None else names.chord_of(event.name)
            own = names.in_bar(None if stroke.position is None else stroke.position.bar)
            sign = "".join(own.of_note(note.pitch, chord) for note in stroke.notes)
        elif is_alone(placed) and stroke.notes:
            n_strings = names.part.fretboard.n_strings
            strings = [n_strings - note.string_index for note in stroke.notes if note.string_index is not None]
            sign = "".join(map(str, strings)) or self.of_direction(stroke.direction)
        else:
            sign = self.of_kind(stroke.kind, stroke.direction)
        return sign + extra

    def legend(self, shown: Iterable[str], *, in_pattern: bool = False, is_set: bool = False) -> str:
        """Explain the signs that occur; names of notes need no explanation.

        Parameters
        ----------
        shown : iterable of str
        in_pattern : bool
            Whether the signs are those of a pattern, where a B is a bass string and not the note.
        is_set : bool
            Whether they were set, not heard.
        """
        notes = set("ACEFG") if in_pattern else set("ABCEFG")
        text = "".join(sign for sign in shown if sign[:1] not in notes)
        words = (
            (self.down, "down"), (self.up, "up"), (self.untold, "either way" if is_set else "way not heard"),
            (self.muted, "damped"), (self.bass, "a low string alone"), (self.single, "another string alone"),
            (self.top, "upper strings only"), (self.accent, "accent"), (self.palm, "palm mute"),
        )  # fmt: skip
        parts = [f"{sign} {word}" for sign, word in words if sign in text]
        if any(sign.isdigit() for sign in text):
            parts.append("a number: that string alone")
        return ", ".join(parts)


ARROWS = Signs()
LETTERS = Signs(down="D", up="U", untold="S", muted="x", single="o")
