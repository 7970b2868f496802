"""Shapes that a person pinned: where in the part each holds, and what to say when it sounds otherwise than was heard.

A pin that points beyond the part is an error, and says how long the part is. Where only a stretch was read, or reading
was stopped, it is no error: the pin stays in the part for the next reading, and a remark says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.errors import BadValueError
from listen.harmony import rank_names
from listen.instrument import Fretboard, best_fingering
from listen.reading import Pin, ShapeReading, Shares, StrumReading
from listen.theory import Pitch
from listen.transcription.bar_beginnings import place_beginning
from listen.transcription.events import PlannedEvent
from listen.transcription.grid import Grid
from listen.transcription.spans import PlannedSpan


def pin_shapes(
    pins: Sequence[Pin],
    spans: Sequence[PlannedSpan],
    events: Sequence[PlannedEvent],
    fretboard: Fretboard,
    *,
    grid: Grid | None,
    is_whole: bool,
) -> tuple[tuple[PlannedSpan, ...], tuple[str, ...]]:
    """Hold the pinned shape where each pin points.

    Parameters
    ----------
    pins : sequence of Pin
    spans : sequence of PlannedSpan
    events : sequence of PlannedEvent
    fretboard : Fretboard
    grid : Grid or None
    is_whole : bool
        Whether the recording was read to its end, so that a pin beyond the events points nowhere.

    Returns
    -------
    tuple of PlannedSpan, tuple of str
        The spans, and what is to be said of pins that are only kept.

    Raises
    ------
    BadValueError
        No chord is held there, the shape does not fit the neck, or two pins hold one chord in two shapes.
    """
    pinned, kept = list(spans), []
    pin_of: dict[int, Pin] = {}
    for pin in pins:
        event = _find_event(pin, events, grid)
        chord = None if event is None else event.chord
        place = next((place for place, span in enumerate(spans) if span.chord is chord), None)
        if place is None and not is_whole and _is_beyond(pin, events):
            kept.append(f"The pin {pin.text} lies beyond what was read: it is kept, and holds when the rest is read.")
            continue
        if place is None:
            raise BadValueError(f"The pin {pin.text} points to no chord: {_tell_length(events, grid)}")
        fingering = best_fingering(pin.shape, fretboard)  # which refuses a shape that is not on this neck
        other = pin_of.setdefault(place, pin)
        if other.shape != pin.shape:
            raise BadValueError(
                f"The pins {other.text} and {pin.text} hold the same chord in two shapes: give one of them; "
                "a pin takes the place of an earlier one that is written with the same place."
            )
        shape = ShapeReading(pin.shape, fingering, 1.0, Shares(0.0, 0.0, 0.0))
        remark = _remark_pin(shape, spans[place].reading, fretboard)
        pinned[place] = replace(spans[place], shapes=(shape,), pinned=True, remark=remark)
    return tuple(pinned), tuple(kept)


def _remark_pin(pinned: ShapeReading, reading: StrumReading, fretboard: Fretboard) -> str:
    """Say what a pinned shape sounds and what was heard, where the two differ; empty where they agree."""
    held = sorted({pitch for pitch in pinned.shape.pitches(fretboard) if pitch is not None})
    heard = sorted({note.pitch for note in reading.notes})
    if held == heard:
        return ""
    was = reading.names[0].text if reading.names else ""
    return (
        f"The pinned {pinned.shape.text} sounds {_tell(held, _name(held))}, but what was heard is {_tell(heard, was)}."
    )


def _name(pitches: list[Pitch]) -> str:
    names = rank_names(pitches, limit=1) if len(pitches) > 1 else ()
    return names[0].text if names else ""


def _tell(pitches: list[Pitch], name: str) -> str:
    notes = " ".join(pitch.name for pitch in pitches)
    return f"{name} ({notes})" if name else notes or "no note"


def _find_event(pin: Pin, events: Sequence[PlannedEvent], grid: Grid | None) -> PlannedEvent | None:
    """Return the event of a number, or the last that begins at or before a beat of a bar that there is."""
    if pin.bar is None:
        number = pin.event_number or 0
        return events[number - 1] if 1 <= number <= len(events) else None
    if grid is None or _is_beyond(pin, events) or not 1 <= pin.beat < grid.metres[0].beats_per_bar + 1:
        return None
    before = None
    for event in events:
        is_first = before is None or before.chord is not event.chord
        position = place_beginning(event) if is_first else event.strokes[0].position
        if position is None or event.chord is None:
            continue
        if (position.bar, position.beat) > (pin.bar, pin.beat):
            break
        before = event
    return before


def _list_bars(events: Sequence[PlannedEvent]) -> list[int]:
    return [stroke.position.bar for event in events for stroke in event.strokes if stroke.position is not None]


def _is_beyond(pin: Pin, events: Sequence[PlannedEvent]) -> bool:
    if pin.bar is None:
        return (pin.event_number or 0) > len(events)
    bars = _list_bars(events)
    return not bars or pin.bar > max(bars)


def _tell_length(events: Sequence[PlannedEvent], grid: Grid | None) -> str:
    length = f"the part has {len(events)} event{'' if len(events) == 1 else 's'}"
    bars = _list_bars(events)
    if grid is None or not bars:
        return f"{length} in free time, without bars; --full shows at which of them chords begin."
    return (
        f"{length} in bars {min(bars)} to {max(bars)} of {grid.metres[0].beats_per_bar} beats; --full shows at which "
        "of them chords begin."
    )
