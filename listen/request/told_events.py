"""Which event of a part that was read a person points to: by its number, or by a place in the bars."""

from __future__ import annotations

from listen.evidence import TimeSpan
from listen.reading import (
    NO_CHORD,
    STEPS_PER_BEAT,
    Correction,
    Event,
    Part,
    Pin,
    Stroke,
    StruckPlace,
    find_ringing_stroke,
    find_told_stroke,
)
from listen.theory import is_no_chord, parse_chord


def find_told_event(part: Part, told: Pin | Correction) -> int | None:
    """Find the event that a pin or a name points to: by number, or by the stroke at which it was told."""
    if told.bar is None or part.bars.metre is None:
        return told.event_number
    strokes = _list_strokes(part)
    places = _place_strokes(part, strokes)
    at = _find_stroke(part, told, places)
    if at is None or _means_the_one_before(part, told, places, at):
        return None
    return strokes[at][0].number


def find_told_span(part: Part, told: Correction) -> TimeSpan | None:
    """Find how long what is told of the notes of a chord holds; None where none is held.

    By the number of an event it is the whole chord; by bar and beat, as names do, from the stroke there to the next
    change of chord or the end of that bar.
    """
    if told.bar is None or part.bars.metre is None:
        event = next((one for one in part.events if one.number == told.event_number), None)
        return None if event is None or event.span_index is None else part.spans[event.span_index].span
    strokes = _list_strokes(part)
    at = _find_stroke(part, told, _place_strokes(part, strokes))
    if at is None or (index := strokes[at][0].span_index) is None:
        return None
    chord = part.spans[index]
    begins = next(one for event, one in strokes if event.span_index == index and one.kind != "muted")
    start_s = chord.span.start_s if strokes[at][1] == begins else strokes[at][1].span.start_s
    behind = (one.span.start_s for _, one in strokes if one.position is not None and one.position.bar > told.bar)
    return TimeSpan(start_s, min(chord.span.end_s, next(behind, chord.span.end_s)))


def find_named_event(part: Part, told: Correction) -> int | None:
    """Find the event that a name points to, or, where it was told and nothing is struck, the one that is held on."""
    found = find_told_event(part, told)
    if found is not None or told.bar is None or part.bars.metre is None or is_no_chord(told.value):
        return found
    strokes = _list_strokes(part)
    places = _place_strokes(part, strokes)
    at = find_ringing_stroke(told, places, part.bars)
    return None if at is None else strokes[at][0].number


def is_held_on(part: Part, told: Correction) -> bool:
    """Tell whether a chord was told by a bar and means none that is struck from there on: one is held on there."""
    return find_told_event(part, told) is None and find_named_event(part, told) is not None


def _means_the_one_before(part: Part, told: Pin | Correction, places: list[StruckPlace], at: int) -> bool:
    """Tell whether a name means the chord that is held on up to a stroke, since what is struck there is another."""
    if isinstance(told, Pin) or told.what != "name" or is_no_chord(told.value):
        return False
    if (places[at].position.bar, places[at].position.step) <= (told.bar, (told.beat - 1) * STEPS_PER_BEAT):
        return False
    before = find_ringing_stroke(told, places, part.bars)
    return before is not None and _is_called(part, places[before], told) and not _is_called(part, places[at], told)


def _is_called(part: Part, place: StruckPlace, told: Correction) -> bool:
    name = part.spans[place.chord].name if isinstance(place.chord, int) else None
    return name is not None and (name.played_as or name.chord).is_enharmonic_with(parse_chord(told.value))


def _find_stroke(part: Part, told: Pin | Correction, places: list[StruckPlace]) -> int | None:
    """Find at which of all strokes begins what was told by bar and beat."""
    return find_told_stroke(told, places, part.bars)


def _list_strokes(part: Part) -> list[tuple[Event, Stroke]]:
    """List all strokes that have a place in the bars, each with its event."""
    return [(event, stroke) for event in part.events for stroke in event.strokes if stroke.position is not None]


def _place_strokes(part: Part, strokes: list[tuple[Event, Stroke]]) -> list[StruckPlace]:
    return [
        StruckPlace(stroke.position, _tell_chord(event, stroke), _tell_end(part, event))
        for event, stroke in strokes
        if stroke.position is not None
    ]


def _tell_chord(event: Event, stroke: Stroke) -> int | str | None:
    """Tell which chord a stroke sounds; what a person said is none had a pitch when it was found."""
    if event.span_index is None:
        return NO_CHORD if event.kind == "hit" and event.reading is None else None
    return None if stroke.kind == "muted" else event.span_index


def _tell_end(part: Part, event: Event) -> float:
    return event.span.end_s if event.span_index is None else part.spans[event.span_index].span.end_s
