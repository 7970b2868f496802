"""What is written of a stroke: a note that is picked beside the shape has a string, too."""

from __future__ import annotations

import pytest

from listen.evidence import TimeSpan
from listen.instrument import Fretboard, Shape, best_fingering, parse_shape
from listen.reading import ChordSpan, ShapeReading, Shares, StrokeKind
from listen.transcription.events import PlannedStroke
from listen.transcription.written import _write_stroke

NECK = Fretboard()


@pytest.mark.parametrize(
    ("shape", "midis", "strings"),
    [
        ((0, 2, 0, 1, 0, 0), (52,), [(2, 2)]),  # E3 beside E7: the open fourth string stopped at its fret 2
        ((None, 0, 2, 2, 2, 0), (43,), [(0, 3)]),  # a walking bass on the way to A
        ((8, 10, 10, 9, 8, 8), (62,), [(3, 7)]),
        ((None, 3, 2, 0, 1, 0), (48, 52), [(1, 3), (2, 2)]),
        ((None, 3, 2, 0, 1, 0), (47, 54), []),  # a whole stroke of other notes stays in the reading
    ],
)
def test_a_note_off_the_shape_lies_near_it(
    shape: tuple[int | None, ...], midis: tuple[int, ...], strings: list[tuple[int, int]]
) -> None:
    held = Shape(shape)
    reading = ShapeReading(held, best_fingering(held, NECK), 1.0, Shares(0.0, 0.0, 0.0))
    span = ChordSpan(TimeSpan(0.0, 1.0), 0, 0, shapes=(reading,))
    stroke = PlannedStroke(TimeSpan(0.0, 0.5), "single", midis, "down", 0.8, -3.0, None)
    written = _write_stroke(stroke, span, None, NECK)
    assert [(note.string_index, note.fret) for note in written.notes] == strings
    assert [note.pitch.midi for note in written.notes] == list(midis if strings else ())


@pytest.mark.parametrize(
    ("kind", "midis", "strings"),
    [
        ("full", (45, 52, 57, 61, 64), [(1, 3), (2, 2), (3, 0), (4, 1), (5, 0)]),  # A was heard
        ("top", (57, 61, 64), [(3, 0), (4, 1), (5, 0)]),
        ("full", (48, 52, 55), [(1, 3), (2, 2), (3, 0)]),  # what was heard of the pinned shape itself
        ("single", (45,), [(1, 0)]),
    ],
)
def test_a_strum_that_a_pinned_shape_does_not_sound_is_written_as_the_shape(
    kind: StrokeKind, midis: tuple[int, ...], strings: list[tuple[int, int]]
) -> None:
    """Two notes of a bar were left of the tab, and its upstrokes were gone."""
    held = parse_shape("x32010")
    reading = ShapeReading(held, best_fingering(held, NECK), 1.0, Shares(0.0, 0.0, 0.0))
    span = ChordSpan(TimeSpan(0.0, 1.0), 0, 0, shapes=(reading,), pinned=True)
    stroke = PlannedStroke(TimeSpan(0.0, 0.5), kind, midis, "up", 0.8, -3.0, None)
    written = _write_stroke(stroke, span, None, NECK, holds_given=True)
    assert [(note.string_index, note.fret) for note in written.notes] == strings
