"""Changes that a person asks for in a part: each makes a step of the history from the step before.

Conventions: a chord is named by the number of its span, from 0; everything else is found from there, so that whoever
asks needs to know nothing of how corrections are kept.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from listen.errors import BadValueError, bad_value
from listen.export import find_words_bar, printed
from listen.harmony import measure_shift
from listen.reading import ChordSpan, Correction, Part, Pin, clock_text
from listen.request.history import Step
from listen.request.one_shape import parse_one_shape
from listen.request.said_of_events import tell_note
from listen.request.stretch import parse_time
from listen.request.told_events import find_named_event, find_told_event
from listen.theory import Pitch, is_no_chord, parse_chord

LONGEST_WORDS = 200
_BEAT = re.compile(r"[0-9]{1,3}(/[1-9][0-9]{0,2})?")  # as a page has it; a Fraction of 1e9999999 takes many seconds


@dataclass(frozen=True, slots=True)
class AskedChange:
    """What is asked for.

    Parameters
    ----------
    what : str
        ``"name"``, ``"shape"``, ``"tempo"``...: those that :func:`take_step` takes.
    value : str
        A chord, frets, a tempo, a title: as it was typed.
    chord : int or None
        The chord it holds for, counted from 0; None for the whole part.
    everywhere : bool
        Whether it holds wherever the same chord is held in the same shape.
    bar : int or None
        The bar it holds for.
    """

    what: str
    value: str = ""
    chord: int | None = None
    everywhere: bool = False
    bar: int | None = None


def take_step(part: Part, before: Step, change: AskedChange) -> Step:
    """Return the step that a change makes.

    Raises
    ------
    BadValueError
        There is no such change, chord or value.
    """
    make = _MAKERS.get(change.what)
    if make is None:
        raise bad_value("what", change.what, allowed=f"one of {', '.join(_MAKERS)}")
    if len(change.value) > LONGEST_WORDS or any(ord(letter) < 32 for letter in change.value):
        raise bad_value(change.what, change.value, allowed=f"one line of up to {LONGEST_WORDS} letters")
    return make(part, before, change)


def _find_spans(part: Part, change: AskedChange) -> list[ChordSpan]:
    if not part.spans:
        raise BadValueError("This part has no chord that could be changed.")
    if change.chord is None:
        raise BadValueError("No chord is named: give its number, counted from 0.")
    if not 0 <= change.chord < len(part.spans):
        raise bad_value("chord", change.chord, allowed=f"a chord of this part, 0 to {len(part.spans) - 1}")
    chosen = part.spans[change.chord]
    if not change.everywhere:
        return [chosen]
    return [span for span in part.spans if _is_same(span, chosen)]


def _is_same(span: ChordSpan, other: ChordSpan) -> bool:
    return (
        (span.name and span.name.chord) == (other.name and other.name.chord)
        and (span.shape and span.shape.shape) == (other.shape and other.shape.shape)
        and [note.pitch for note in span.notes] == [note.pitch for note in other.notes]
    )


def _find_bar(part: Part, change: AskedChange) -> int | None:
    """Return the bar that a chord is changed in, where it goes on in others that are not meant; None for all of it."""
    (span, *others) = _find_spans(part, change)
    bars = _list_struck(part, span)
    if change.bar is not None and change.chord is not None and bars:
        chosen = part.spans[change.chord]
        lies = _list_struck(part, chosen) | _list_sounding(part, chosen)
        if change.bar not in lies:
            raise bad_value("bar", change.bar, allowed=f"a bar in which the chord lies, {min(lies)} to {max(lies)}")
    return change.bar if len(bars) > 1 and change.bar in bars and not change.everywhere and not others else None


def _list_struck(part: Part, span: ChordSpan) -> set[int]:
    """Return the bars in which a chord is struck."""
    return {event.position.bar for event in part.events[span.first_event : span.last_event + 1] if event.position}


def _list_sounding(part: Part, span: ChordSpan) -> set[int]:
    """Return the bars in which a chord sounds, those among them in which it is not struck."""
    inside = (start_s < span.span.end_s and end_s > span.span.start_s for start_s, end_s in pairwise(part.bars.lines_s))
    return {part.bars.first_bar + place for place, is_inside in enumerate(inside) if is_inside}


def _where(span: ChordSpan, change: AskedChange, bar: int | None = None) -> str:
    if change.everywhere:
        return "everywhere"
    if bar is not None:
        return f"in bar {bar}"
    return f"in bar {span.position.bar}" if span.position is not None else f"at {span.span.start_s:.1f} s"


def _name(part: Part, before: Step, change: AskedChange) -> Step:
    spans = _find_spans(part, change)
    if not is_no_chord(change.value):
        parse_chord(change.value)
    value, bar = change.value.strip(), _find_bar(part, change)
    given = tuple(Correction("name", value, *_tell_place(part, before, span, bar)) for span in spans)
    numbers, places = _list_events(part, spans, bar), {(one.bar, one.beat) for one in given}
    kept = []
    for one in before.corrections:
        if one.what != "name" or find_named_event(part, one) not in numbers:
            kept.append(one)
        elif one.bar is not None and (one.bar, one.beat) not in places:
            kept.append(replace(one, value=value))  # told inside this chord, and one with it
    pins = _without_pins(part, before, spans, bar) if is_no_chord(value) else before.pins  # nothing is held there
    return Step(f"{printed(value)} {_where(spans[0], change, bar)}", pins, (*kept, *given))


def _hold_on(part: Part, before: Step, change: AskedChange) -> Step:
    """Take back that a bar has no chord from a beat on: the chord that was struck last is named there, and goes on.

    It goes on to the end of the bar, or up to the chord that is struck there next.
    """
    if not _BEAT.fullmatch(change.value):
        raise bad_value("beat", change.value, allowed="the beat from which on there is no chord")
    place = (change.bar or 0, Fraction(change.value))
    strokes = [(stroke.position, event) for event in part.events for stroke in event.strokes]
    struck = [(at.bar, at.beat, event) for at, event in strokes if at is not None and (at.bar, at.beat) < place]
    span_index = struck[-1][2].span_index if struck else None
    name = None if span_index is None else part.spans[span_index].name
    if name is None:
        raise bad_value("bar", change.bar, allowed="a bar that comes after a chord with a name")
    value = (name.played_as or name.chord).text
    kept = tuple(
        one
        for one in before.corrections
        if one.what != "name" or one.bar is None or not _rests_there(one, struck[-1][:2], place)
    )
    given = Correction("name", value, None, *place)
    return Step(f"{printed(value)} held on in bar {change.bar}", before.pins, (*kept, given))


def _rests_there(told: Correction, since: tuple[int, Fraction], place: tuple[int, Fraction]) -> bool:
    """Tell whether a word stands at a place, or says that there is no chord from before it on."""
    at = (told.bar or 0, told.beat)
    return at == place or (since <= at < place and is_no_chord(told.value))


def _shape(part: Part, before: Step, change: AskedChange) -> Step:
    spans = _find_spans(part, change)
    shape = parse_one_shape([change.value], part.fretboard)
    bar = _find_bar(part, change)
    kept = _without_pins(part, before, spans, bar)
    given = tuple(Pin(shape, *_tell_place(part, before, span, bar)) for span in spans)
    return Step(f"{shape.text} {_where(spans[0], change, bar)}", kept + given, before.corrections)


def _unpin(part: Part, before: Step, change: AskedChange) -> Step:
    spans = _find_spans(part, change)
    return Step(f"shape as heard {_where(spans[0], change)}", _without_pins(part, before, spans), before.corrections)


def _without_pins(part: Part, before: Step, spans: list[ChordSpan], bar: int | None = None) -> tuple[Pin, ...]:
    """Return the pins that point to other chords, or other bars."""
    numbers = _list_events(part, spans, bar)
    return tuple(pin for pin in before.pins if find_told_event(part, pin) not in numbers)


def _list_events(part: Part, spans: list[ChordSpan], bar: int | None = None) -> set[int]:
    events = [event for span in spans for event in part.events[span.first_event : span.last_event + 1]]
    return {event.number for event in events if bar is None or (event.position and event.position.bar == bar)}


def _tell_place(part: Part, before: Step, span: ChordSpan, bar: int | None) -> tuple[int | None, int | None, Fraction]:
    """Return where a chord is told: in one bar; at which something was told of it before; or its first event."""
    if bar is not None:
        own = part.events[span.first_event : span.last_event + 1]
        return None, bar, min(event.position.beat for event in own if event.position and event.position.bar == bar)
    number = part.events[span.first_event].number
    told: tuple[Pin | Correction, ...] = (*before.pins, *before.corrections)
    at = next((one for one in told if one.bar is not None and find_told_event(part, one) == number), None)
    return (number, None, Fraction(1)) if at is None else (None, at.bar, at.beat)


def _whole(what: str, tell: str, show: Callable[[str], str] = str) -> Callable[[Part, Step, AskedChange], Step]:
    """Make a change of the whole part; an empty value takes it back."""

    def make(_: Part, before: Step, change: AskedChange) -> Step:
        value = change.value.strip()
        kept = tuple(one for one in before.corrections if one.what != what)
        given = (Correction(what, value),) if value else ()  # type: ignore[arg-type]  # checked by the table below
        return Step(f"{tell} {show(value)}" if value else f"{tell} as heard", before.pins, kept + given)

    return make


def _clocks(value: str) -> str:
    """Return times as a clock shows them."""
    return " ".join(clock_text(parse_time("bar-one", text)) for text in value.split())


def _tempo(part: Part, before: Step, change: AskedChange) -> Step:
    value = change.value.strip()
    if value in ("×2", "÷2"):
        if part.bars.metre is None:
            raise BadValueError("The part is in free time: give its tempo in beats a minute.")
        value = f"{part.bars.metre.tempo_bpm * (2.0 if value == '×2' else 0.5):.6g}"
    return _whole("tempo", "tempo")(part, before, AskedChange("tempo", value))


def _note(part: Part, before: Step, change: AskedChange) -> Step:
    """Say that a note sounds, does not sound or is the bass; it replaces what was said of that note or bass there."""
    from listen.transcription import replace_told  # heavy

    spans, kept, note = _find_spans(part, change), before.corrections, change.value.strip()
    given = [tell_note(change.what, note, span, part.fretboard) for span in spans]  # type: ignore[arg-type]  # of three
    for told in given:
        kept = replace_told(kept, told)
    told_pitch = Pitch.parse(given[0].value.partition(" ")[0]).shifted(-measure_shift(part.fretboard))
    named = note if any(letter.isdigit() for letter in note) else told_pitch.name  # with its octave
    tell = {"note": "sounds", "no note": "does not sound", "bass": "is the bass"}[change.what]
    return Step(f"{printed(named)} {tell} {_where(spans[0], change)}", before.pins, kept)


def _words(part: Part, before: Step, change: AskedChange) -> Step:
    """Name a section, or write words under a bar; an empty value takes them back."""
    events = _list_events_of_words(part, change)
    value = change.value.strip()
    kept = tuple(one for one in before.corrections if one.what != change.what or one.event_number not in events)
    given = (Correction(change.what, value, min(events)),) if value else ()  # type: ignore[arg-type]  # one of the two
    return Step(f"{change.what} {value or 'taken out'} in bar {change.bar}", before.pins, kept + given)


def _list_events_of_words(part: Part, change: AskedChange) -> list[int]:
    """Return the numbers of the events whose words stand at a bar."""
    numbers = [event.number for event in part.events if find_words_bar(part, event) == change.bar]
    if not numbers:
        raise bad_value("bar", change.bar, allowed="a bar in which something is struck")
    return numbers


_MAKERS: dict[str, Callable[[Part, Step, AskedChange], Step]] = {
    "name": _name,
    "held on": _hold_on,
    "shape": _shape,
    "heard shape": _unpin,
    "note": _note,
    "no note": _note,
    "bass": _note,
    "title": _whole("title", "title"),
    "section": _words,
    "lyrics": _words,
    "tempo": _tempo,
    "metre": _whole("metre", "metre"),
    "bar one": _whole("bar one", "bar 1 at", _clocks),
    "bar line": _whole("bar line", "bars at", _clocks),
    "key": _whole("key", "key"),
    "capo": _whole("capo", "capo"),
    "tuning": _whole("tuning", "tuning"),
}
