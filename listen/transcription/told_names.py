"""Names that a person gave to chords of a part, and shapes that sound what is named so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.errors import BadValueError, bad_value
from listen.harmony import measure_shift
from listen.instrument import Fretboard
from listen.reading import ChordName, Correction, ShapeReading, Shares
from listen.theory import Chord, parse_chord, transpose_chord
from listen.transcription.events import PlannedEvent
from listen.transcription.named_shapes import sounds_chord
from listen.transcription.spans import PlannedSpan
from listen.voicing import find_shapes

MOST_USUAL, MOST_TOLD_SHAPES = 60, 3
"""Of the usual shapes of a chord, so many; of these the nearest to what was heard, from which the path of the hand
chooses (judged, not measured)."""


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
        name = _read_name(correction.value, fretboard)
        span = named[place]
        remark = " ".join(filter(None, [span.remark, _remark_bass(name, span, fretboard)]))
        shapes = _find_told_shapes(span, name.chord, fretboard)
        named[place] = replace(span, name=name, shapes=shapes, remark=remark)
    return tuple(named)


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
    fitting = tuple(one for one in span.shapes if sounds_chord(one, chord, fretboard))
    if fitting and fitting[0] == span.shapes[0]:
        return span.shapes
    if fitting:
        return tuple(replace(one, same_sound=()) for one in fitting)
    try:
        found = find_shapes(chord, fretboard=fretboard)
    except BadValueError:  # no hand can hold it: the name holds, over the shape that was heard
        return span.shapes
    heard = {note.pitch.midi for note in span.reading.notes}
    usual = [found[place] for place in range(min(len(found), MOST_USUAL))]
    whole = [one for one in usual if not one.missing] or usual
    told = sorted(whole, key=lambda one: len(heard ^ {pitch.midi for pitch in one.pitches if pitch is not None}))
    told = told[:MOST_TOLD_SHAPES]
    return tuple(ShapeReading(one.shape, one.fingering, 1.0 / len(told), Shares(0.0, 0.0, 0.0)) for one in told)


def _read_name(text: str, fretboard: Fretboard) -> ChordName:
    """Return a name as it sounds from one as it is played."""
    played, shift = parse_chord(text), measure_shift(fretboard) % 12
    return ChordName(transpose_chord(played, shift), 1.0, played_as=played) if shift else ChordName(played, 1.0)
