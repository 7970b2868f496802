"""Names that a person gave to chords of a part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.errors import bad_value
from listen.harmony import measure_shift
from listen.instrument import Fretboard
from listen.reading import ChordName, Correction
from listen.theory import parse_chord, transpose_chord
from listen.transcription.events import PlannedEvent
from listen.transcription.spans import PlannedSpan


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
        named[place] = replace(named[place], name=_read_name(correction.value, fretboard))
    return tuple(named)


def _read_name(text: str, fretboard: Fretboard) -> ChordName:
    """Return a name as it sounds from one as it is played."""
    played, shift = parse_chord(text), measure_shift(fretboard) % 12
    return ChordName(transpose_chord(played, shift), 1.0, played_as=played) if shift else ChordName(played, 1.0)
