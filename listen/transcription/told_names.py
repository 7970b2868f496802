"""Names that a person gave to chords of a part, and shapes that sound what is named so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from listen.errors import BadValueError, bad_value
from listen.harmony import measure_shift
from listen.instrument import Fretboard, Shape
from listen.reading import ChordName, Correction, ShapeReading, Shares
from listen.theory import Chord, is_no_chord, parse_chord, transpose_chord
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import PlannedEvent
from listen.transcription.held_through import find_held_through, hold_through
from listen.transcription.named_shapes import sounds_named
from listen.transcription.pins import say_called_otherwise, tell_name
from listen.transcription.spans import PlannedSpan, join_named
from listen.transcription.told_places import ToldPlaces, is_beyond
from listen.voicing import Voicing, Voicings, find_shapes

MOST_USUAL, TOLD_SHARES, OTHERS_SAY = 60, (0.8, 0.15, 0.05), 0.5
"""Of the usual shapes of a chord, so many; of these the nearest to what was heard, of which the path of the hand
chooses the first unless it lies far away. A note that was heard and that a shape has not, or the other way about,
counts as much as a place in the order of the usual ones, and half as much where what was heard has notes that are none
of the chord: G that was heard as C is 320003, and not xx000x, and E7/G# 420100, and not 422430. Judged."""


def name_spans(
    corrections: Sequence[Correction],
    spans: Sequence[PlannedSpan],
    events: Sequence[PlannedEvent],
    fretboard: Fretboard,
    *,
    places: ToldPlaces,
) -> tuple[tuple[PlannedSpan, ...], tuple[PlannedEvent, ...], frozenset[Correction]]:
    """Call chords as a person said; where not all was read, a name beyond it is only kept.

    A name is given as the chart shows it: over a capo, and on a guitar tuned down as a whole, as the hand plays it.
    Where the chord was read as another, its shapes are now those of the chord named; a pinned shape stays. Chords that
    a person said are none are taken away: what is struck there has no pitch. Of several words on one chord the last
    one holds. A chord that is named as the one beside it is one with it: the change comes elsewhere than was heard.
    One that is named again where nothing is struck is held through (:mod:`.held_through`), up to the next stroke.

    Returns
    -------
    tuple of PlannedSpan, tuple of PlannedEvent
    frozenset of Correction
        The names by which a chord is held through.

    Raises
    ------
    BadValueError
        There is no chord at that event or place, the symbol cannot be read, or two places name the same chord.
    """
    names = tuple(one for one in corrections if one.what == "name")

    def find_said(some: Sequence[Correction], at: ToldPlaces) -> tuple[dict[ReadChord, str], list[Correction]]:
        return _find_said(some, spans, events, places=at)

    through = find_held_through(names, lambda some: find_said(some, places)[0], events, fretboard, places=places)
    unmoved = replace(places, strokes={one: at for one, at in places.strokes.items() if one not in through})
    said, unstruck = find_said(names, unmoved)
    named, silenced = [], set()
    for span in spans:
        word = said.get(span.chord)
        if word is not None and is_no_chord(word):
            silenced.add(span.chord)
        else:
            named.append(span if word is None else _name(span, word, fretboard))
    sounding = tuple(_silence(event) if event.chord in silenced else event for event in events)
    kept, going, held_on = hold_through(names, named, sounding, fretboard, places=unmoved)
    for one in unstruck:
        if one not in held_on:
            raise places.refuse("name", one, events)
    begun = places.find_begun(names)
    told = [after.chord for before, after in zip(named, kept, strict=True) if before.chord in begun]
    return *join_named(kept, going, told), held_on


def _find_said(
    names: Sequence[Correction],
    spans: Sequence[PlannedSpan],
    events: Sequence[PlannedEvent],
    *,
    places: ToldPlaces,
) -> tuple[dict[ReadChord, str], list[Correction]]:
    """Find what a person said of which chord, and which chords were told where nothing is struck."""
    held = {span.chord for span in spans}
    unstruck: list[Correction] = []
    last: dict[ReadChord, Correction] = {}
    by_event: dict[ReadChord, str] = {}
    for one, chord in places.find(names, events):
        if chord is not None and chord in held:
            other = last.get(chord, one)
            if None not in (one.bar, other.bar) and other.value != one.value:
                raise BadValueError(
                    f"The names {other.text} and {one.text} are for the same chord, since nothing is struck between "
                    "these places: give one of them; a name takes the place of an earlier one of the same place."
                )
            if one.bar is None and (chord not in last or other.bar is None):
                by_event[chord] = one.value
            last[chord] = one
        elif one in places.kept or places.is_only_kept(one, events):
            continue
        elif one.bar is None:
            raise bad_value(
                "name",
                one.text,
                allowed=f"the number of an event with a chord, 1 to {len(events)}",
                remedy="The full chart shows them.",
            )
        elif places.grid is None or not places.grid.bars.has_beat(one.bar, one.beat):
            raise places.refuse("name", one, events)
        elif not is_no_chord(one.value):
            unstruck.append(one)
        elif is_beyond(one, events):
            raise places.refuse("name", one, events)
    said = {chord: one.value for chord, one in last.items()}
    return places.hold_on(said, by_event, but=places.find_begun(names)), unstruck


def _name(span: PlannedSpan, text: str, fretboard: Fretboard) -> PlannedSpan:
    name = _read_name(text, fretboard)
    pinned = say_called_otherwise(span.shapes[0], name, fretboard) if span.pinned else ""
    shapes, are_others = _find_told_shapes(span, name.chord, fretboard)
    bass = "" if are_others else _remark_bass(name, span, fretboard)  # else it is said how the chord is written
    remark = " ".join(filter(None, [span.remark, pinned, bass]))
    renamed = frozenset(event.number for event in span.events if are_others)
    return replace(span, name=name, shapes=shapes, remark=remark, renamed=renamed)


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
    return (
        f"{tell_name(name)} has {told} in the bass, but the lowest note that was heard is {lowest.name}: "
        f"if {lowest.name} does not sound, say so."
    )


def _find_told_shapes(span: PlannedSpan, chord: Chord, fretboard: Fretboard) -> tuple[tuple[ShapeReading, ...], bool]:
    """Find shapes of the chord that a person named: as heard where that is one, else the nearest to what was heard.

    Returns
    -------
    tuple of ShapeReading
    bool
        Whether they are others than were read of all that was heard.
    """
    if span.pinned or not span.shapes or sounds_named(span.shapes[0].shape, chord, fretboard):
        return span.shapes, False
    is_picked = span.chord.held.is_picked
    heard = set(span.struck) if is_picked else {note.pitch.midi for note in span.reading.notes}
    fitting = [replace(one, same_sound=()) for one in span.shapes if sounds_named(one.shape, chord, fretboard)]
    complete = [one for one in fitting if heard <= _list_midis(one.sounded, fretboard)]
    if complete and not is_picked:
        return tuple(complete), False
    try:
        found = find_shapes(chord, fretboard=fretboard)
    except BadValueError:  # no hand can hold it: the name holds, over the shape that was heard
        return span.shapes, False
    whole = _list_usual(found, chord, fretboard)
    if is_picked and (holding := [one for one in whole if heard <= _list_midis(one.shape, fretboard)]):
        return _take_nearest(holding, heard, say=0.0), True  # fingers skip what strings they like
    if fitting:  # of part of what was heard
        whole = [one for one in whole if heard <= _list_midis(one.shape, fretboard)]
        if not whole:
            return tuple(fitting), True
    is_other = not {midi % 12 for midi in heard} <= chord.pitch_classes
    return _take_nearest(whole, heard, say=OTHERS_SAY if is_other else 1.0), True


def _list_usual(found: Voicings, chord: Chord, fretboard: Fretboard) -> list[Voicing]:
    """List the usual shapes of a chord, over its own bass and without a note missing where there are such."""
    usual = [found[place] for place in range(min(len(found), MOST_USUAL))]
    bass, is_over = chord.sounding_bass.pitch_class, fretboard.tuning.bears_bass
    over_bass = [one for one in usual if not is_over or min(filter(None, one.pitches)).pitch_class == bass] or usual
    return [one for one in over_bass if not one.missing or sounds_named(one.shape, chord, fretboard)] or over_bass


def _take_nearest(whole: Sequence[Voicing], heard: set[int], *, say: float) -> tuple[ShapeReading, ...]:
    """Take the shapes nearest to what was heard, of usual ones in their order; so much does each note apart say."""
    notes = [{pitch.midi for pitch in one.pitches if pitch} for one in whole]
    apart = [place + say * len(heard ^ own) for place, own in enumerate(notes)]
    told = [whole[place] for place in np.argsort(apart, kind="stable")[: len(TOLD_SHARES)]]
    shares = np.array(TOLD_SHARES[: len(told)]) / sum(TOLD_SHARES[: len(told)])
    return tuple(
        ShapeReading(one.shape, one.fingering, share, Shares(0.0, 0.0, 0.0))
        for one, share in zip(told, shares.tolist(), strict=True)
    )


def _list_midis(shape: Shape, fretboard: Fretboard) -> set[int]:
    return {pitch.midi for pitch in shape.pitches(fretboard) if pitch is not None}


def _read_name(text: str, fretboard: Fretboard) -> ChordName:
    """Return a name as it sounds from one as it is played."""
    played, shift = parse_chord(text), measure_shift(fretboard) % 12
    return ChordName(transpose_chord(played, shift), 1.0, played_as=played) if shift else ChordName(played, 1.0)
