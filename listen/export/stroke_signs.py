"""One short sign for each stroke.

Conventions: an arrow points the way the hand moves. A string that is picked is its number, several that are picked
together are their numbers from the lowest string up, a note of a line is its letter.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from listen.evidence import Direction
from listen.export.bar import PlacedStroke
from listen.export.held_names import HeldNames
from listen.instrument import Fretboard
from listen.reading import PICKED, Stroke, StrokeKind

RAISED = "'>_"  # what is added to the sign of a stroke


def is_picked(placed: PlacedStroke) -> bool:
    """Tell whether strings were picked, not strummed."""
    return placed.event.kind == "picked" or placed.stroke.kind in PICKED


def picked_strings(stroke: Stroke, fretboard: Fretboard) -> tuple[int, ...]:
    """Return the numbers of the strings that a stroke struck, the lowest string first."""
    struck = sorted(note.string_index for note in stroke.notes if note.string_index is not None)
    return tuple(fretboard.n_strings - index for index in struck)


@dataclass(frozen=True, slots=True)
class Signs:
    """The signs that a place can show.

    Parameters
    ----------
    down, up, untold : str
        Strokes of the chord.
    muted : str
    bass, single : str
        A low string picked, another string picked, where it is not told which.
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
        """Return the sign of a stroke whose strings are not told."""
        picked = {"muted": self.muted, "bass": self.bass, "single": self.single, "pinch": 2 * self.single}.get(kind)
        if picked is not None:
            return picked
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
        else:
            strings = picked_strings(stroke, names.part.fretboard) if is_picked(placed) else ()
            sign = "".join(map(str, strings)) or self.of_kind(stroke.kind, stroke.direction)
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
        notes: set[str] = set("ACEFG") if in_pattern else set("ABCEFG")
        signs = [sign for sign in shown if sign[:1] not in notes]
        text, picked = "".join(signs), (self.bass, self.single)
        words = (
            (self.down, "down"), (self.up, "up"), (self.untold, "either way" if is_set else "way not heard"),
            (self.muted, "damped"), (self.bass, "a low string picked"), (self.single, "another string picked"),
            (self.top, "upper strings only"), (self.accent, "accent"), (self.palm, "palm mute"),
        )  # fmt: skip
        parts = [f"{sign} {word}" for sign, word in words if sign in text]
        if any(sign.isdigit() for sign in text):
            parts.append(f"a number: {'the string picked in most bars' if in_pattern else 'that string picked'}")
        if any(sum(one.isdigit() or one in picked for one in sign) > 1 for sign in signs):
            parts.append("side by side: together")
        return ", ".join(parts)


ARROWS = Signs()
LETTERS = Signs(down="D", up="U", untold="S", muted="x", single="o")
