"""Names that a person gave to chords of a part, and shapes that sound what is named so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from listen.errors import BadValueError, bad_value
from listen.harmony import measure_shift
from listen.instrument import Fretboard
from listen.reading import ChordName, Correction, ShapeReading, Shares
from listen.theory import Chord, is_no_chord, parse_chord, transpose_chord
from listen.transcription.events import PlannedEvent
from listen.transcription.named_shapes import sounds_named
from listen.transcription.spans import PlannedSpan
from listen.voicing import find_shapes

MOST_USUAL, TOLD_SHARES = 60, (0.8, 0.15, 0.05)
"""Of the usual shapes of a chord, so many; of these the nearest to what was heard, of which the path of the hand
chooses the first unless it lies far away. A note that was heard and that a shape has not, or the other way about,
counts as much as a place in the order of the usual ones: G that was heard as C is 320003, and not xx000x. Judged."""


def name_spans(
    corrections: Sequence[Correction],
    spans: Sequence[PlannedSpan],
    events: Sequence[PlannedEvent],
    fretboard: Fretboard,
    *,
    is_whole: bool,
) -> tuple[PlannedSpan, ...]:
    """Call chords as a person said; where not all was read, a name beyond it is only kept.

    A name is given as the chart shows it: over a capo, and on a guitar tuned down as a whole, as the hand plays it.
    Where the chord was read as another, its shapes are now those of the chord named; a pinned shape stays.

    Raises
    ------
    BadValueError
        There is no chord at that event, or the symbol cannot be read.
    """
    named = list(spans)
    for correction in corrections:
        number = correction.event_number or 0
        if correction.what != "name" or (number > len(events) and not is_whole):
            continue
        chord = events[number - 1].chord if 1 <= number <= len(events) else None
        place = next((place for place, span in enumerate(named) if span.chord is chord), None)
        if place is None:
            raise bad_value(
                "name",
                f"{number}={correction.value}",
                allowed=f"the number of an event with a chord, 1 to {len(events)}",
                remedy="The chart with --full shows them.",
            )
        if is_no_chord(correction.value):  # see silence_chords
            continue
        name = _read_name(correction.value, fretboard)
        span = named[place]
        remark = " ".join(filter(None, [span.remark, _remark_bass(name, span, fretboard)]))
        shapes = _find_told_shapes(span, name.chord, fretboard)
        named[place] = replace(span, name=name, shapes=shapes, remark=remark)
    return tuple(named)


def silence_chords(
    corrections: Sequence[Correction], spans: Sequence[PlannedSpan], events: Sequence[PlannedEvent]
) -> tuple[tuple[PlannedSpan, ...], tuple[PlannedEvent, ...]]:
    """Take chords away that a person said are none: what is struck there has no pitch.

    Pins and names find their places before that; of several words on one chord the last one holds.
    """
    said: dict[int, bool] = {}
    for one in corrections:
        number = one.event_number or 0
        if one.what == "name" and 1 <= number <= len(events):
            said[id(events[number - 1].chord)] = is_no_chord(one.value)
    silenced = {chord for chord, is_none in said.items() if is_none} - {id(None)}
    return (
        tuple(span for span in spans if id(span.chord) not in silenced),
        tuple(_silence(event) if id(event.chord) in silenced else event for event in events),
    )


def _silence(event: PlannedEvent) -> PlannedEvent:
    strokes = tuple(replace(stroke, kind="muted", midis=()) for stroke in event.strokes)
    return replace(event, kind="hit" if strokes else "silence", strokes=strokes, chord=None)


def _remark_bass(name: ChordName, span: PlannedSpan, fretboard: Fretboard) -> str:
    """Say that another note was heard lowest than the bass which a person named; empty where it was not.

    Only of a bass that is named: a symbol without one says nothing of how the chord is turned.
    """
    told, heard = name.chord.bass, span.reading.notes
    if told is None or not heard or fretboard.tuning.is_reentrant:  # what sounds lowest is nobody's bass there
        return ""
    lowest = min(note.pitch for note in heard)
    if lowest.pitch_class == told.pitch_class:
        return ""
    sounds = "" if name.played_as is None else f" (it sounds {name.chord.text})"
    text = (name.played_as or name.chord).text
    return (
        f"{text}{sounds} has {told} in the bass, but the lowest note that was heard is {lowest.name}: "
        f"if {lowest.name} does not sound, say so."
    )


def _find_told_shapes(span: PlannedSpan, chord: Chord, fretboard: Fretboard) -> tuple[ShapeReading, ...]:
    """Find shapes of the chord that a person named: as heard where that is one, else the nearest to what was heard."""
    if span.pinned or not span.shapes:
        return span.shapes
    if sounds_named(span.shapes[0], chord, fretboard):
        return span.shapes
    fitting = tuple(one for one in span.shapes if sounds_named(one, chord, fretboard))
    if fitting:
        return tuple(replace(one, same_sound=()) for one in fitting)
    try:
        found = find_shapes(chord, fretboard=fretboard)
    except BadValueError:  # no hand can hold it: the name holds, over the shape that was heard
        return span.shapes
    heard = {note.pitch.midi for note in span.reading.notes}
    usual = [found[place] for place in range(min(len(found), MOST_USUAL))]
    bass, is_over = chord.sounding_bass.pitch_class, fretboard.tuning.bears_bass
    over_bass = [one for one in usual if not is_over or min(filter(None, one.pitches)).pitch_class == bass] or usual
    whole = [one for one in over_bass if not one.missing] or over_bass
    apart = [place + len(heard ^ {pitch.midi for pitch in one.pitches if pitch}) for place, one in enumerate(whole)]
    told = [whole[place] for place in np.argsort(apart, kind="stable")[: len(TOLD_SHARES)]]
    shares = np.array(TOLD_SHARES[: len(told)]) / sum(TOLD_SHARES[: len(told)])
    return tuple(
        ShapeReading(one.shape, one.fingering, share, Shares(0.0, 0.0, 0.0))
        for one, share in zip(told, shares.tolist(), strict=True)
    )


def _read_name(text: str, fretboard: Fretboard) -> ChordName:
    """Return a name as it sounds from one as it is played."""
    played, shift = parse_chord(text), measure_shift(fretboard) % 12
    return ChordName(transpose_chord(played, shift), 1.0, played_as=played) if shift else ChordName(played, 1.0)
