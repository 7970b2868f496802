"""What is said of events of a part, by their number or by bar and beat: notes, and words over or under a bar.

Where in the recording a note was said of, and at which event words begin, is found in a part that was read without
them; by bar and beat they are found as names and pins are (:mod:`listen.reading.told_stroke`).
"""

from __future__ import annotations

from dataclasses import replace
from functools import reduce
from typing import TYPE_CHECKING

from listen.errors import bad_value
from listen.harmony import measure_shift
from listen.instrument import Fretboard
from listen.reading import STEPS_PER_BEAT, ChordSpan, Corrected, Correction, Event, Part, refuse_told_place
from listen.request.part_asked import PartAsked
from listen.request.part_words import NOTE_OPTIONS, parse_said, parse_said_note
from listen.request.told_events import find_told_event, find_told_span
from listen.request.told_together import refuse_notes_at_odds
from listen.theory import Pitch

if TYPE_CHECKING:
    from listen.transcription import PartSettings


def settle_said(asked: PartAsked, part: Part, settings: PartSettings) -> PartSettings:
    """Add what is said of single notes, and of places in the bars: they are found in a part read without.

    Raises
    ------
    BadValueError
        Nothing is struck there, no chord is held there, it is no note, or two words are said of one event.
    """
    notes: list[tuple[str, Correction]] = []
    words: dict[tuple[Corrected, int], tuple[str, Correction]] = {}
    for what, text in asked.said:
        if what == "title":
            continue
        told = parse_said(what, text)
        event = _find_event(part, told)
        if told.bar is not None and (event is None or (what in NOTE_OPTIONS and event.span_index is None)):
            struck = {
                stroke.position.bar for one in part.events for stroke in one.strokes if stroke.position is not None
            }
            raise refuse_told_place(what, told, n_events=len(part.events), struck=struck, bars=part.bars)
        if what in NOTE_OPTIONS:
            notes.append((text, _settle_note(part, told, event, text)))
            continue
        if event is None:
            allowed = "an event of the part, or a bar and beat from which on something is struck, =, and words"
            raise bad_value(what, text, allowed=allowed, remedy="The full chart lists events.")
        said = Correction(what, told.value, event.number)
        other, given = words.setdefault((what, event.number), (text, said))
        if given != said:
            raise bad_value(what, text, allowed="one word for each place", remedy=f"You gave {other}, too.")
    refuse_notes_at_odds(notes)
    placed = tuple(one for _, one in words.values())
    if not notes and set(placed) <= set(settings.corrections):
        return settings
    from listen.transcription import parse_told_note, replace_told  # heavy

    kept = tuple(one for one in settings.corrections if (one.what, one.event_number) not in words)
    in_time = sorted((one for _, one in notes), key=lambda one: parse_told_note(one).start_s)
    return replace(settings, corrections=reduce(replace_told, in_time, (*kept, *placed)))


def _find_event(part: Part, told: Correction) -> Event | None:
    """Find the event that something is said of; words need no pitch, only that something is struck in the bar."""
    number = find_told_event(part, told)
    found = next((event for event in part.events if event.number == number), None)
    if found is not None or told.bar is None or told.what in NOTE_OPTIONS:
        return found
    step = round((told.beat - 1) * STEPS_PER_BEAT)
    struck = ((event, event.position) for event in part.events if event.position is not None)
    return next((event for event, at in struck if at.bar == told.bar and at.step >= step), None)


def _settle_note(part: Part, told: Correction, event: Event | None, text: str) -> Correction:
    """Return what is said of a note of the chord that is held at an event."""
    if event is None or event.span_index is None:
        allowed = "an event with a chord, or a bar and beat from which on one is struck, =, and a note"
        raise bad_value(told.what, text, allowed=allowed, remedy="Write 12=G3 or 5.3=G3.")
    kind: Corrected = "no note" if told.value.startswith("-") else told.what
    chord = part.spans[event.span_index]
    span = replace(chord, span=find_told_span(part, told) or chord.span)
    return tell_note(kind, told.value.removeprefix("-"), span, part.fretboard, typed=text)


def tell_note(what: Corrected, note: str, span: ChordSpan, neck: Fretboard, *, typed: str = "") -> Correction:
    """Return the correction that says of a note of a chord that it sounds, does not, or is the bass.

    Notes are called as names are: as the hand plays them, over a capo and on a guitar that is tuned down as a whole.
    A bass may be told without its octave: it is the lowest note that sounds where that is called so, else the lowest
    such note that the neck has.

    Raises
    ------
    BadValueError
        It is no note, one that no ear here knows, or one that is to sound and lies outside what the neck can sound.
    """
    said = parse_said_note(what, note, typed or note)
    shift = measure_shift(neck)
    pitch = said.shifted(shift) if isinstance(said, Pitch) else _find_bass((said.pitch_class + shift) % 12, span, neck)
    lowest, highest = min(neck.open_pitches), max(neck.open_pitches).shifted(neck.top_fret)
    if what != "no note" and not lowest <= pitch <= highest:
        capo = f" with capo {neck.capo_fret}" if neck.capo_fret else ""
        raise bad_value(
            what,
            typed or note,
            allowed=f"what the strings can sound in this tuning{capo}, {lowest.shifted(-shift).name} to "
            f"{highest.shifted(-shift).name}",
            remedy="Where the strings are tuned otherwise, tell the tuning first.",
        )
    return Correction(what, f"{pitch.name} {span.span.start_s:.3f}-{span.span.end_s:.3f}")


def _find_bass(pitch_class: int, span: ChordSpan, neck: Fretboard) -> Pitch:
    lowest = min((heard.pitch for heard in span.notes), default=None)
    if lowest is not None and lowest.pitch_class == pitch_class:
        return lowest
    open_pitch = min(neck.open_pitches)
    return open_pitch.shifted((pitch_class - open_pitch.pitch_class) % 12)
