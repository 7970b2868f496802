"""Where the single notes of a part lie: beside the chord that is held, where a person says, else on a path of the hand.

A single note that the held shape has lies on its string. Any other lies near the shape, which stays held; and notes
that are held as no chord, melodies, bass runs, pickups, go from the shape before them to the one after.
"""

from __future__ import annotations

from collections.abc import Sequence

from listen.instrument import Fretboard, Shape
from listen.transcription.events import PlannedEvent
from listen.voicing import NoteStep, Place, find_positions, lay_notes, list_note_places


def place_notes(
    events: Sequence[PlannedEvent], shapes: Sequence[Shape | None], fretboard: Fretboard
) -> list[list[Place | None]]:
    """Place the single notes of a part.

    Parameters
    ----------
    events : sequence of PlannedEvent
        In time order.
    shapes : sequence of Shape or None
        What is held through each event.
    fretboard : Fretboard

    Returns
    -------
    list of list of Place or None
        For each stroke of each event the place of its one note; None for strokes of several, and where no string has
        the note.
    """
    steps = [
        _step(stroke.midis, shape, fretboard)
        for event, shape in zip(events, shapes, strict=True)
        for stroke in event.strokes
    ]
    found = iter(lay_notes(steps, fretboard))
    return [[next(found) for _ in event.strokes] for event in events]


def _step(midis: Sequence[int], shape: Shape | None, fretboard: Fretboard) -> NoteStep:
    positions = () if shape is None or not midis else find_positions(shape)
    if len(midis) != 1:
        return NoteStep((), positions)
    places = list_note_places(midis[0], fretboard)
    held = () if shape is None else tuple(place for place in places if shape.frets[place[0]] == place[1])
    return NoteStep(held[:1] or places, positions)
