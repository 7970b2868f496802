"""The held chords of a part as spans: numbered, pinned, given a shape on the path of the hand, named by a person."""

from __future__ import annotations

from dataclasses import dataclass, replace

from listen.errors import bad_value
from listen.evidence import TimeSpan
from listen.harmony import measure_shift
from listen.instrument import Fretboard
from listen.reading import (
    ChordName,
    ChordSpan,
    HandPath,
    Mark,
    PathDifference,
    ShapeReading,
    StrumReading,
)
from listen.theory import parse_chord, transpose_chord
from listen.transcription.events import PlannedEvent
from listen.transcription.heard_part import HeardPart
from listen.transcription.held_chords import HeldChord
from listen.transcription.part_settings import PartSettings
from listen.transcription.pins import remark_pin
from listen.voicing import decode_paths

PASSING_S = 0.3  # some strings brushed for so short a time are no chord of their own


@dataclass(frozen=True, slots=True)
class Chords:
    """The held chords and what was read of each kind.

    Parameters
    ----------
    held : list of HeldChord
    pitches : list of frozenset of int
        MIDI numbers of each kind.
    readings : dict of int to StrumReading
        Of each kind that is held.
    """

    held: list[HeldChord]
    pitches: list[frozenset[int]]
    readings: dict[int, StrumReading]

    def span_of(self, number: int, heard: HeardPart) -> TimeSpan:
        """Return from when to when a chord is held."""
        chord = self.held[number]
        start_s = heard.stretches[chord.first].span.start_s
        end_s = heard.stretches[chord.last].span.end_s
        return TimeSpan(start_s, end_s)


def number_chords(planned: list[PlannedEvent], chords: Chords) -> dict[int, int]:
    """Give each held chord that is a chord, and is struck, its place among the part's spans."""
    struck = {event.chord for event in planned if event.chord is not None and event.kind in ("strum", "picked")}
    named = [n for n, chord in enumerate(chords.held) if n in struck and chords.readings[chord.kind].notes]
    return {number: place for place, number in enumerate(named)}


def choose_shapes(
    chords: Chords,
    numbered: dict[int, int],
    pinned: dict[int, ShapeReading],
    heard: HeardPart,
    fretboard: Fretboard,
) -> tuple[dict[int, tuple[ShapeReading, ...]], HandPath | None]:
    """Choose the shape of each span, on the path through all of them; shapes are returned best first."""
    layers, places, begins = [], [], []
    for number, place in numbered.items():
        shapes = (pinned[place],) if place in pinned else chords.readings[chords.held[number].kind].shapes
        if shapes:
            layers.append(shapes)
            places.append(place)
            begins.append(heard.strokes[heard.stretches[chords.held[number].first].first].onset.onset_s)
    if not layers:
        return {}, None
    lasts = [
        heard.strokes[heard.stretches[chords.held[n].last].last].onset.onset_s
        for n, p in numbered.items()
        if p in places
    ]
    times = [begin - last for begin, last in zip(begins[1:], lasts, strict=False)]
    cheapest, gentlest = decode_paths(layers, times, fretboard=fretboard)
    chosen = {}
    differences = []
    for layer, place, choice, other in zip(layers, places, cheapest.choices, gentlest.choices, strict=True):
        chosen[place] = (layer[choice], *layer[:choice], *layer[choice + 1 :])
        if layer[choice].shape != layer[other].shape:
            differences.append(PathDifference(place, layer[choice], layer[other]))
    hardest = None if cheapest.hardest_layer is None else places[cheapest.hardest_layer]
    return chosen, HandPath(
        cheapest.total, cheapest.hardest, hardest, gentlest.total, gentlest.hardest, tuple(differences)
    )


def write_spans(
    chords: Chords,
    numbered: dict[int, int],
    shapes: dict[int, tuple[ShapeReading, ...]],
    pinned: dict[int, ShapeReading],
    planned: list[PlannedEvent],
    heard: HeardPart,
    *,
    fretboard: Fretboard,
) -> tuple[ChordSpan, ...]:
    """Write the spans, each with its names, notes and shapes."""
    spans = []
    events_of: dict[int | None, list[int]] = {}
    for index, event in enumerate(planned):
        events_of.setdefault(event.chord, []).append(index)
    for number, place in numbered.items():
        own = events_of[number]
        reading = chords.readings[chords.held[number].kind]
        span = chords.span_of(number, heard)
        ranked = shapes.get(place, ())
        position = planned[own[0]].strokes[0].position
        remark = "" if ranked else "More than one hand can hold: notes and name without a shape."
        if place in pinned:
            remark = remark_pin(pinned[place], reading, fretboard)
        spans.append(
            ChordSpan(
                span=span,
                first_event=own[0],
                last_event=own[-1],
                name=reading.names[0] if reading.names else None,
                names=reading.names,
                notes=reading.notes,
                bass=reading.bass,
                shape=ranked[0] if ranked else None,
                shapes=ranked,
                position=position,
                marks=_mark_span(planned, own, span),
                pinned=place in pinned,
                remark=remark,
            )
        )
    return tuple(spans)


def rename_spans(
    spans: tuple[ChordSpan, ...],
    planned: list[PlannedEvent],
    numbered: dict[int, int],
    settings: PartSettings,
    *,
    fretboard: Fretboard,
    is_whole: bool,
) -> tuple[ChordSpan, ...]:
    """Call chords as a person said; where not all was read, a name beyond it is only kept.

    A name is given as the chart shows it: over a capo, and on a guitar tuned down as a whole, as the hand plays it.

    Raises
    ------
    BadValueError
        There is no chord at that event, or the symbol cannot be read.
    """
    renamed = list(spans)
    for correction in settings.corrections:
        if correction.what != "name":
            continue
        number = correction.event_number or 0
        if number > len(planned) and not is_whole:
            continue
        chord = planned[number - 1].chord if 1 <= number <= len(planned) else None
        if chord is None or chord not in numbered:
            raise bad_value(
                "name",
                f"{number}={correction.value}",
                allowed=f"the number of an event with a chord, 1 to {len(planned)}",
                remedy="The chart with --full shows them.",
            )
        place = numbered[chord]
        given = _read_name(correction.value, fretboard)
        others = tuple(name for name in renamed[place].names if name.chord != given.chord)
        renamed[place] = replace(renamed[place], name=given, names=(given, *others))
    return tuple(renamed)


def _read_name(text: str, fretboard: Fretboard) -> ChordName:
    """Return a name as it sounds from one as it is played."""
    played, shift = parse_chord(text), measure_shift(fretboard) % 12
    return ChordName(transpose_chord(played, shift), 1.0, played_as=played) if shift else ChordName(played, 1.0)


def _mark_span(planned: list[PlannedEvent], own: list[int], span: TimeSpan) -> tuple[Mark, ...]:
    """Mark what is brushed in passing, and a change that comes early: off the beat, nothing struck on the next one."""
    first = planned[own[0]].strokes[0].position
    if len(own) == 1 and span.end_s - span.start_s < PASSING_S and planned[own[0]].strokes[0].kind != "full":
        return ("passing",)
    if first is None or first.step % 12 == 0:
        return ()
    later = [stroke.position for index in own for stroke in planned[index].strokes if stroke.position is not None]
    beat = first.step - first.step % 12 + 12
    struck_on_beat = any(place.bar == first.bar and place.step == beat for place in later[1:])
    return () if struck_on_beat else ("pushed",)
