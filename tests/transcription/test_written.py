"""What is written of a stroke: a note that is picked beside the shape has a string, too."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import Direction, PartEvidence, TimeSpan
from listen.instrument import STANDARD, Fretboard, Shape, best_fingering, parse_shape, parse_tuning
from listen.reading import ChordSpan, Correction, Pin, ShapeReading, Shares, StrokeKind
from listen.transcription import PartSettings, read_part_evidence
from listen.transcription.events import PlannedEvent, PlannedStroke
from listen.transcription.note_places import place_notes
from listen.transcription.written import _write_stroke
from tests.transcription.written_strokes import C, F, G, hear_strokes

NECK = Fretboard()


@pytest.mark.parametrize(
    ("shape", "midis", "strings"),
    [
        ((0, 2, 0, 1, 0, 0), (52,), [(2, 2)]),  # E3 beside E7: the open fourth string stopped at its fret 2
        ((None, 0, 2, 2, 2, 0), (43,), [(0, 3)]),  # a walking bass on the way to A
        ((8, 10, 10, 9, 8, 8), (62,), [(3, 7)]),
        ((None, 3, 2, 0, 1, 0), (48, 52), [(1, 3), (2, 2)]),
        ((None, 3, 2, 0, 1, 0), (74,), [(5, 10)]),  # D5, which no string has nearer
        ((None, 3, 2, 0, 1, 0), (38,), [(None, None)]),  # no string has D2
        ((None, 3, 2, 0, 1, 0), (47, 54), []),  # a whole stroke of other notes stays in the reading
    ],
)
def test_a_note_off_the_shape_lies_near_it(
    shape: tuple[int | None, ...], midis: tuple[int, ...], strings: list[tuple[int | None, int | None]]
) -> None:
    held = Shape(shape)
    reading = ShapeReading(held, best_fingering(held, NECK), 1.0, Shares(0.0, 0.0, 0.0))
    span = ChordSpan(TimeSpan(0.0, 1.0), 0, 0, shapes=(reading,))
    stroke = PlannedStroke(TimeSpan(0.0, 0.5), "single", midis, "down", 0.8, -3.0, None)
    ((at,),) = place_notes([PlannedEvent(stroke.span, "strum", (stroke,))], [held], NECK)
    written = _write_stroke(stroke, span, None, NECK, at=at)
    assert [(note.string_index, note.fret) for note in written.notes] == strings
    assert [note.pitch.midi for note in written.notes] == list(midis if strings else ())


@pytest.mark.parametrize(
    ("neck", "frets", "fret_of", "kind"),
    [
        (NECK, "xx0232", (2, 0), "bass"),  # the fourth string, open
        (NECK, "xx0232", (3, 2), "single"),  # the third: next to the lowest of D, and no low string
        (NECK, "320003", (2, 0), "bass"),
        (NECK, "320003", (3, 0), "single"),
        (Fretboard(parse_tuning("ukulele")), "0003", (0, 0), "single"),
    ],
)
def test_a_low_string_is_one_of_the_sixth_to_the_fourth(
    neck: Fretboard, frets: str, fret_of: tuple[int, int], kind: StrokeKind
) -> None:
    """Common practice, no source: thumb and basses are on the strings 6 to 4."""
    held = parse_shape(frets, fretboard=neck)
    reading = ShapeReading(held, best_fingering(held, neck), 1.0, Shares(0.0, 0.0, 0.0))
    span = ChordSpan(TimeSpan(0.0, 1.0), 0, 0, shapes=(reading,))
    midi = neck.pitch_at(*fret_of).midi
    stroke = PlannedStroke(TimeSpan(0.0, 0.5), "single", (midi,), None, 0.5, -3.0, None)
    assert _write_stroke(stroke, span, None, neck, at=fret_of).kind == kind


@pytest.mark.parametrize(
    ("kind", "midis", "strings"),
    [
        ("full", (45, 52, 57, 61, 64), [(1, 3), (2, 2), (3, 0), (4, 1), (5, 0)]),  # A was heard
        ("top", (57, 61, 64), [(3, 0), (4, 1), (5, 0)]),
        ("full", (48, 52, 55), [(1, 3), (2, 2), (3, 0)]),  # what was heard of the pinned shape itself
        ("single", (45,), [(1, 0)]),
        ("pinch", (45, 64), [(1, 3), (5, 0)]),
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
    ((at,),) = place_notes([PlannedEvent(stroke.span, "strum", (stroke,))], [held], NECK)
    written = _write_stroke(stroke, span, None, NECK, at=at, holds_given=True)
    assert [(note.string_index, note.fret) for note in written.notes] == strings


@pytest.mark.parametrize(
    "told",
    [
        PartSettings(corrections=(Correction("name", "C/G", 1),)),
        PartSettings(pins=(Pin(parse_shape("332010"), event_number=1),)),
    ],
)
def test_a_string_that_a_given_shape_adds_is_struck_wherever_all_that_was_heard_is(told: PartSettings) -> None:
    """C was called C/G: the chart drew 332010 and said that it adds G2, and no stroke of the tab had it."""
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + (F,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    part = read_part_evidence(heard, settings=replace(told, tuning=STANDARD, capo_fret=0))
    assert part.spans[0].shape is not None
    assert part.spans[0].shape.shape.text == "332010"
    own = [stroke for event in part.events if event.span_index == 0 for stroke in event.strokes]
    assert [[note.pitch.name for note in stroke.notes] for stroke in own] == [["G2", "C3", "E3", "G3", "C4", "E4"]] * 4


@pytest.mark.parametrize(
    ("kind", "direction", "midis"),
    [
        ("full", "up", (48, 52, 55, 60, 64)),  # the way back seldom reaches the lowest string
        ("top", "up", (55, 60, 64)),
        ("full", "down", (48, 52, 55)),
        ("bass", "down", (48,)),
    ],
)
def test_of_a_shape_that_adds_strings_part_of_a_chord_and_the_way_back_sound_what_was_heard(
    kind: StrokeKind, direction: Direction, midis: tuple[int, ...]
) -> None:
    held = parse_shape("332010")
    shape = ShapeReading(held, best_fingering(held, NECK), 1.0, Shares(0.0, 0.0, 0.0))
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 4.5), tuple(strokes), tuple(stretches))
    reading = read_part_evidence(heard).events[0].reading
    assert reading is not None
    span = ChordSpan(TimeSpan(0.0, 1.0), 0, 0, shapes=(shape,), pinned=True)
    stroke = PlannedStroke(TimeSpan(0.0, 0.5), kind, midis, direction, 0.8, -3.0, None)
    ((at,),) = place_notes([PlannedEvent(stroke.span, "strum", (stroke,))], [held], NECK)
    written = _write_stroke(stroke, span, reading, NECK, at=at, holds_given=True)
    assert tuple(note.pitch.midi for note in written.notes) == midis
