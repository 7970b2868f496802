"""Shapes that a person pinned to single notes: from that note on the line lies there, or near it.

A pin holds to the next change of chord, the next pin, or, where it was told by bar and beat, the end of that bar.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from listen.instrument import Fretboard, Shape
from listen.reading import Pin
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import PlannedEvent


def hold_lines(pin_of: Mapping[ReadChord, Pin], events: Sequence[PlannedEvent]) -> dict[ReadChord, Shape]:
    """Return in which shape each single note is held that a pin reaches.

    Parameters
    ----------
    pin_of : dict of ReadChord to Pin
        Chords among them.
    events : sequence of PlannedEvent
        In time order.
    """
    held: dict[ReadChord, Shape] = {}
    pin: Pin | None = None
    for event in events:
        if event.chord is None or event.kind != "line":
            pin = pin if event.kind in ("hit", "silence") else None
            continue
        pin = pin_of.get(event.chord, pin)
        position = event.strokes[0].position
        if pin is not None and pin.bar is not None and position is not None and position.bar > pin.bar:
            pin = None
        if pin is not None:
            held[event.chord] = pin.shape
    return held


def remark_pinned_lines(
    pin_of: Mapping[ReadChord, Pin], events: Sequence[PlannedEvent], fretboard: Fretboard
) -> tuple[str, ...]:
    """Say which pins do not sound the note at which they stand."""
    said = []
    for event in events:
        if event.chord is None or event.kind != "line" or event.chord not in pin_of:
            continue
        shape, heard = pin_of[event.chord].shape, [note.pitch for note in event.chord.reading.notes]
        if not set(heard) & set(shape.pitches(fretboard)):
            names = " ".join(pitch.name for pitch in heard)
            said.append(f"The pinned {shape.text} does not sound {names}, the single note there, which lies beside it.")
    return tuple(said)
