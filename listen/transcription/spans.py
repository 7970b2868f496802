"""The held chords of a part as spans: gathered from events, given a shape on the path of the hand, written."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from listen.evidence import TimeSpan
from listen.instrument import Fretboard, Shape
from listen.reading import (
    STEPS_PER_BEAT,
    Bars,
    ChordName,
    ChordSpan,
    GridPosition,
    HandPath,
    Mark,
    PathDifference,
    ShapeReading,
    StrumReading,
)
from listen.transcription.bar_beginnings import place_beginning
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import PlannedEvent, PlannedStroke
from listen.transcription.grid import Grid
from listen.transcription.low_string import say_no_shape
from listen.transcription.named_shapes import sounds_named
from listen.transcription.pooled_shapes import pool_shapes
from listen.voicing import decode_paths

PINNED_SAYS = 5.0  # nats for the shape in which a person pinned the same chord elsewhere; judged
PASSING_S = 0.3  # some strings brushed for so short a time are no chord of their own


@dataclass(frozen=True, slots=True, eq=False)
class PlannedSpan:
    """A held chord with all that was played while it was held.

    Parameters
    ----------
    chord : ReadChord
    events : tuple of PlannedEvent
        In time order, hits among them.
    shapes : tuple of ShapeReading
        Where it may be held, best first; once the path is chosen, its shape first.
    name : ChordName or None
        As a person calls it.
    pinned : bool
        Whether a person chose the shape.
    remark : str
        One sentence for the reader, where there is one.
    renamed : frozenset of int
        Numbers of the events whose notes were heard of no shape of the chord that a person named.
    """

    chord: ReadChord
    events: tuple[PlannedEvent, ...]
    shapes: tuple[ShapeReading, ...]
    name: ChordName | None = None
    pinned: bool = False
    remark: str = ""
    renamed: frozenset[int] = frozenset()

    @property
    def reading(self) -> StrumReading:
        """What was read of the chord."""
        return self.chord.reading

    @property
    def strokes(self) -> tuple[PlannedStroke, ...]:
        """All strokes, in time order."""
        return tuple(stroke for event in self.events for stroke in event.strokes)

    @property
    def struck(self) -> frozenset[int]:
        """MIDI numbers of what its own strokes sound; other times of the chord may have sounded more."""
        return frozenset(midi for stroke in self.strokes for midi in stroke.midis)

    @property
    def sounding(self) -> TimeSpan:
        """From the first to the last stroke with pitch."""
        starts = [stroke.span.start_s for stroke in self.strokes if stroke.kind != "muted"]
        return TimeSpan(starts[0], starts[-1])


def gather_spans(events: Sequence[PlannedEvent]) -> tuple[PlannedSpan, ...]:
    """Gather events into spans, one for each held chord that is struck and has notes."""
    held: dict[ReadChord, list[PlannedEvent]] = {}
    for event in events:
        if event.chord is not None:
            held.setdefault(event.chord, []).append(event)
    return tuple(
        PlannedSpan(chord, tuple(own), chord.reading.shapes)
        for chord, own in held.items()
        if chord.reading.notes and any(event.kind in ("strum", "picked") for event in own)
    )


def join_named(
    spans: Sequence[PlannedSpan], events: Sequence[PlannedEvent], told: Collection[ReadChord]
) -> tuple[tuple[PlannedSpan, ...], tuple[PlannedEvent, ...]]:
    """Join a chord that a person named at a place with one beside it of the same name, which keeps its shapes."""
    joined: list[tuple[PlannedSpan, bool]] = []
    place_of = {event.number: place for place, event in enumerate(events)}
    for span in spans:
        is_told = span.chord in told
        before, was_told = joined[-1] if joined else (span, False)
        kept, other = (span, before) if was_told and not is_told else (before, span)
        if (is_told or was_told) and _is_one_chord(before, span, place_of) and _may_be_held_as(other, kept):
            stretches = before.chord.held.stretches + span.chord.held.stretches
            chord = replace(kept.chord, held=replace(kept.chord.held, stretches=stretches))
            events_of_both, renamed = before.events + span.events, before.renamed | span.renamed
            joined[-1] = (replace(kept, chord=chord, events=events_of_both, renamed=renamed), True)
        else:
            joined.append((span, is_told))
    chord_of = {event.number: span.chord for span, _ in joined for event in span.events}
    moved = tuple(replace(event, chord=chord_of.get(event.number, event.chord)) for event in events)
    return tuple(span for span, _ in joined), moved


def _is_one_chord(before: PlannedSpan, after: PlannedSpan, place_of: Mapping[int, int]) -> bool:
    """Tell whether a chord goes on without a rest under the same name."""
    names = [span.name or next(iter(span.reading.names), None) for span in (before, after)]
    chords = [name.chord for name in names if name is not None]
    is_next = place_of[before.events[-1].number] + 1 == place_of[after.events[0].number]
    return is_next and len(chords) == 2 and chords[0].is_enharmonic_with(chords[1])


def _may_be_held_as(span: PlannedSpan, other: PlannedSpan) -> bool:
    return not span.pinned or (other.pinned and span.shapes[0].shape == other.shapes[0].shape)


def choose_shapes(
    spans: Sequence[PlannedSpan], fretboard: Fretboard
) -> tuple[tuple[PlannedSpan, ...], HandPath | None]:
    """Choose the shape of each span, on the path through all of them."""
    places = [place for place, span in enumerate(spans) if span.shapes]
    if not places:
        return tuple(spans), None
    spans, pinned = _offer_pinned(spans, fretboard)
    held = [spans[place] for place in places]
    times_s = [after.sounding.start_s - before.sounding.end_s for before, after in pairwise(held)]
    layers = [span.shapes for span in held]
    sounds = [
        sound + PINNED_SAYS * np.array([one.shape in pinned.get(chord, ()) for one in span.shapes])
        for sound, span, chord in zip(pool_shapes(layers, _say_rounds(held)), held, _say_chords(held), strict=True)
    ]
    cheapest, gentlest = decode_paths(layers, times_s, fretboard=fretboard, sounds=sounds)
    chosen, differences = list(spans), []
    for place, choice, other in zip(places, cheapest.choices, gentlest.choices, strict=True):
        shapes = spans[place].shapes
        chosen[place] = replace(spans[place], shapes=(shapes[choice], *shapes[:choice], *shapes[choice + 1 :]))
        if shapes[choice].shape != shapes[other].shape:
            differences.append(PathDifference(place, shapes[choice], shapes[other]))
    hardest = None if cheapest.hardest_layer is None else places[cheapest.hardest_layer]
    return tuple(chosen), HandPath(
        cheapest.total, cheapest.hardest, hardest, gentlest.total, gentlest.hardest, tuple(differences)
    )


def _offer_pinned(
    spans: Sequence[PlannedSpan], fretboard: Fretboard
) -> tuple[tuple[PlannedSpan, ...], dict[str, set[Shape]]]:
    """Offer shapes in which a person pinned a chord where it comes back with the same pitches; say which by chord.

    A pinned shape that is another chord than its name says is for its own place.
    """
    names, pinned, readings = _say_names(spans), dict[str, set[Shape]](), dict[frozenset[int], list[ShapeReading]]()
    for span, name in zip(spans, names, strict=True):
        if span.pinned and name is not None and sounds_named(span.shapes[0].shape, name.chord, fretboard):
            pinned.setdefault(name.chord.text, set()).add(span.shapes[0].shape)
            readings.setdefault(span.chord.held.pitches, []).append(span.shapes[0])
    offered = []
    for span in spans:
        known = {one.shape for one in span.shapes}
        own = [] if span.pinned or not span.shapes else readings.get(span.chord.held.pitches, [])
        others = {one.shape: replace(one, probability=span.shapes[0].probability) for one in own}
        others = {shape: one for shape, one in others.items() if shape not in known}
        offered.append(replace(span, shapes=(*span.shapes, *others.values())))
    return tuple(offered), pinned


def _say_names(spans: Sequence[PlannedSpan]) -> list[ChordName | None]:
    return [span.name or next(iter(span.reading.names), None) for span in spans]


def _say_chords(spans: Sequence[PlannedSpan]) -> list[str]:
    """Say of each chord what it is; nothing where it has no name."""
    return ["" if name is None else name.chord.text for name in _say_names(spans)]


def _say_rounds(spans: Sequence[PlannedSpan]) -> list[str]:
    """Say of each chord what it is and what comes after it; nothing where it has no name, or a shape was pinned."""
    chords = _say_chords(spans)
    return [
        "" if span.pinned or not chord else f"{chord} {after}"
        for span, chord, after in zip(spans, chords, [*chords[1:], ""], strict=True)
    ]


def write_spans(
    spans: Sequence[PlannedSpan], events: Sequence[PlannedEvent], grid: Grid | None
) -> tuple[ChordSpan, ...]:
    """Write the spans, each with its names, notes and shapes, and with its place among all events.

    Parameters
    ----------
    spans : sequence of PlannedSpan
    events : sequence of PlannedEvent
    grid : Grid or None
        None in free time.
    """
    bars = Bars() if grid is None else grid.bars
    place_of = {event.number: place for place, event in enumerate(events)}
    begins = [place_beginning(span.events[0]) for span in spans]
    struck = next((event.number for event in events if event.strokes), 0)
    changes = [None if span.events[0].number == struck else at for span, at in zip(spans, begins, strict=True)]
    return tuple(
        _write_span(span, place_of, _mark_span(span, at, after, bars))
        for span, at, after in zip(spans, changes, [*begins[1:], None], strict=False)  # without spans None is left
    )


def _write_span(span: PlannedSpan, place_of: Mapping[int, int], marks: tuple[Mark, ...]) -> ChordSpan:
    names = span.reading.names
    if span.name is not None:
        names = (span.name, *(name for name in names if name.chord != span.name.chord))
    remark = span.remark if span.shapes else say_no_shape(span.reading)
    first = span.events[0]
    return ChordSpan(
        span=span.chord.held.span,
        first_event=place_of[first.number],
        last_event=place_of[span.events[-1].number],
        names=names,
        notes=span.reading.notes,
        bass=span.reading.bass,
        shapes=span.shapes,
        position=place_beginning(first),
        marks=marks,
        pinned=span.pinned,
        remark=remark,
    )


def _mark_span(
    span: PlannedSpan, begins: GridPosition | None, after: GridPosition | None, bars: Bars
) -> tuple[Mark, ...]:
    """Mark what is brushed in passing, and a change that comes early: off the beat, nothing struck on the next one.

    What a person named or pinned is a chord, however short.
    Where another chord begins by then, `after`, that beat is its own, and this one is meant where it is struck; so is
    the first of a part, which changes nothing. Over a bar line it comes early whatever is struck there: the chord is
    the next bar's.
    """
    first, lasts_s = span.events[0].strokes[0], span.chord.held.span.end_s - span.chord.held.span.start_s
    is_told = span.pinned or span.name is not None
    if not is_told and len(span.events) == 1 and lasts_s < PASSING_S and first.kind not in ("full", "pinch"):
        return ("passing",)
    if begins is None or begins.step % STEPS_PER_BEAT == 0:
        return ()
    beat = begins.step - begins.step % STEPS_PER_BEAT + STEPS_PER_BEAT
    if after is not None and bars.count_between(begins, after) <= beat - begins.step:
        return ()
    later = [stroke.position for stroke in span.strokes if stroke.position is not None]
    struck_on_beat = any(place.bar == begins.bar and place.step == beat for place in later[1:])
    return () if struck_on_beat else ("pushed",)
