"""Shapes that a person pinned: where in the part each holds, and what to say when it sounds otherwise than was heard.

A pin that points beyond the part is an error, and says how long the part is. Where only a stretch was read, or reading
was stopped, or where the pin was kept from an earlier reading, it is no error: it stays in the part for the next
reading, and a remark says so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from listen.errors import BadValueError
from listen.harmony import name_played, rank_names_on
from listen.instrument import Fretboard, best_fingering
from listen.reading import ChordName, Correction, Pin, Settled, ShapeReading, Shares
from listen.theory import Chord, Pitch, SpelledPitch, spell_beside
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import PlannedEvent
from listen.transcription.spans import PlannedSpan
from listen.transcription.told_notes import ToldNote, find_told_notes
from listen.transcription.told_places import ToldPlaces


def find_pinned(
    settled: Settled,
    spans: Sequence[PlannedSpan],
    events: Sequence[PlannedEvent],
    fretboard: Fretboard,
    *,
    places: ToldPlaces,
) -> dict[ReadChord, Pin]:
    """Find which pin holds each chord, and each single note that is held as none.

    Parameters
    ----------
    settled : Settled
        A bar that is told a name of its own is not held in the shape that its chord was pinned in by number.
    spans : sequence of PlannedSpan
    events : sequence of PlannedEvent
    fretboard : Fretboard
    places : ToldPlaces

    Returns
    -------
    dict of ReadChord to Pin

    Raises
    ------
    BadValueError
        No chord is held there, the shape does not fit the neck, or two pins hold one chord in two shapes.
    """
    held = {span.chord for span in spans}
    pin_of: dict[ReadChord, Pin] = {}
    for pin, chord in places.find(settled.pins, events):
        if places.is_only_kept(pin, events):
            continue
        if chord is None or (chord not in held and chord.event_kind != "line"):
            if pin in places.kept:
                continue
            raise places.refuse("pin", pin, events)
        best_fingering(pin.shape, fretboard)  # refuses a shape that is not on this neck
        other = pin_of.setdefault(chord, pin)
        if other.shape != pin.shape:
            raise BadValueError(
                f"The pins {other.text} and {pin.text} hold the same chord in two shapes: give one of them; "
                "a pin takes the place of an earlier one that is written with the same place."
            )
    begun = places.find_begun((*settled.pins, *settled.corrections))
    by_event = {chord: pin for chord, pin in pin_of.items() if pin.bar is None}
    return places.hold_on(pin_of, by_event, but=begun)


def pin_shapes(
    pin_of: Mapping[ReadChord, Pin],
    spans: Sequence[PlannedSpan],
    corrections: Sequence[Correction],
    fretboard: Fretboard,
) -> tuple[PlannedSpan, ...]:
    """Hold each chord in the shape that is pinned to it; notes that are told are called so, not heard."""
    return tuple(_pin(span, pin_of.get(span.chord), corrections, fretboard) for span in spans)


def _pin(span: PlannedSpan, pin: Pin | None, corrections: Sequence[Correction], fretboard: Fretboard) -> PlannedSpan:
    if pin is None:
        return span
    told = find_told_notes(corrections, span.chord.held.span.start_s)
    shape = ShapeReading(pin.shape, best_fingering(pin.shape, fretboard), 1.0, Shares(0.0, 0.0, 0.0))
    return replace(span, shapes=(shape,), pinned=True, remark=_remark_pin(shape, span, told, fretboard))


def _remark_pin(pinned: ShapeReading, span: PlannedSpan, told: Sequence[ToldNote], fretboard: Fretboard) -> str:
    """Say which notes a pinned shape leaves out or adds; empty where it has what was heard."""
    name = _name(_find_pitches(pinned, fretboard), fretboard)
    apart = _tell_apart(pinned, None if name is None else name.chord, span, told, fretboard)
    called = "" if name is None else f" {'sounds' if name.played_as is None else 'is'} {tell_name(name)}, and"
    return f"The pinned {pinned.shape.text}{called} {apart}." if apart else ""


def remark_renamed(spans: Sequence[PlannedSpan], settled: Settled, fretboard: Fretboard) -> tuple[PlannedSpan, ...]:
    """Say of chords that a person named otherwise than they were heard which notes their shapes leave out or add.

    Parameters
    ----------
    spans : sequence of PlannedSpan
        Their shapes chosen.
    settled : Settled
        Notes that are told are called so, not heard.
    fretboard : Fretboard
    """
    said = []
    for span in spans:
        apart = ""
        if span.renamed and span.name is not None:
            told = find_told_notes(settled.corrections, span.chord.held.span.start_s)
            if others := _tell_apart(span.shapes[0], span.name.chord, span, told, fretboard):
                apart = f"{tell_name(span.name)} is written as {span.shapes[0].shape.text}, which {others}."
        said.append(replace(span, remark=" ".join(filter(None, [span.remark, apart]))))
    return tuple(said)


def _tell_apart(
    shape: ShapeReading, called: Chord | None, span: PlannedSpan, told: Sequence[ToldNote], fretboard: Fretboard
) -> str:
    """Tell which notes a shape leaves out or adds, of those heard and of those told; empty where it has them.

    Those that it adds are spelled as it is called, those that it leaves out as what was heard is. Fingers that pick
    skip what strings they like, and another bar may have sounded others: only a lower bass is added there.
    """
    was_called = next((name.chord for name in span.reading.names), None)
    held = _find_pitches(shape, fretboard)
    read = {note.pitch for note in span.reading.notes}
    sounding = {one.pitch for one in told if one.kind != "no note"}
    silent = {pitch for pitch in held if any(one.silences(pitch) for one in told)}
    missing = read.difference(held)
    # a note that was told takes a string from one that was heard, which then is not read
    heard = read | {Pitch(midi) for midi in span.chord.held.pitches}
    extra = set(held) - heard
    if span.chord.held.is_picked:
        extra = {pitch for pitch in extra if pitch in silent or pitch < min(read, default=pitch)}
        missing = {pitch for pitch in missing if pitch in sounding or pitch.midi in span.struck}
    left_out = _list({"what was heard": missing - sounding, "what you said sounds": missing & sounding}, was_called)
    added = _list({"what was not heard": extra - silent, "what you said does not sound": extra & silent}, called)
    return ", and ".join(filter(None, [left_out and f"leaves out {left_out}", added and f"adds {added}"]))


def _list(notes: Mapping[str, set[Pitch]], chord: Chord | None) -> str:
    """List notes under what they are: ``what was heard (G2 B2) and what you said sounds (D4)``."""
    return " and ".join(f"{what} ({_spell(sorted(pitches), chord)})" for what, pitches in notes.items() if pitches)


def say_called_otherwise(pinned: ShapeReading, name: ChordName, fretboard: Fretboard) -> str:
    """Say that a pinned shape is not what a person calls it: by its notes or by its bass; empty where it may be."""
    said = _say_otherwise(f"The pinned {pinned.shape.text}", pinned, f"you call it {tell_name(name)}", name, fretboard)
    return f"{said}." if said else ""


def say_drawn_otherwise(spans: Sequence[PlannedSpan], fretboard: Fretboard) -> tuple[PlannedSpan, ...]:
    """Say of chords whose shape is not what they are named why that is: no hand that was found holds them.

    Parameters
    ----------
    spans : sequence of PlannedSpan
        Their shapes chosen; what is said of pinned ones was said before.
    fretboard : Fretboard
    """
    said = []
    for span in spans:
        name = span.name or next(iter(span.reading.names), None)
        if span.pinned or not span.shapes or name is None or _begins_over(span, name, fretboard):
            said.append(span)
            continue
        called = f"{'you call it' if span.name is not None else 'what was heard is'} {tell_name(name)}"
        drawn = _say_otherwise(f"The shape {span.shapes[0].shape.text}", span.shapes[0], called, name, fretboard)
        over = f" over capo {fretboard.capo_fret}" if fretboard.capo_fret else ""
        why = f"{drawn}: no hand{over} was found that holds it." if drawn else ""
        said.append(replace(span, remark=" ".join(filter(None, [span.remark, why]))))
    return tuple(said)


def _begins_over(span: PlannedSpan, name: ChordName, fretboard: Fretboard) -> bool:
    """Tell whether the shape has the bass that a picked chord begins with, and only lower strings beside it."""
    bass, held = span.reading.bass, _find_pitches(span.shapes[0], fretboard)
    return (
        span.name is None
        and bass is not None
        and bass.pitch in held[1:]
        and bass.pitch.pitch_class == name.chord.sounding_bass.pitch_class
    )


def _say_otherwise(what: str, shape: ShapeReading, called: str, name: ChordName, fretboard: Fretboard) -> str:
    """Say that a shape is not what it is called, by its notes or by its bass; empty where it may be."""
    held = _find_pitches(shape, fretboard)
    if not {pitch.pitch_class for pitch in held} <= name.chord.pitch_classes:
        sounding = _name(held, fretboard)
        sounds = f"{sounding.text} ({_spell(held, sounding.chord)})" if sounding else _spell(held, None) or "no note"
        return f"{what} sounds {sounds}, but {called}"
    bass = name.chord.sounding_bass
    if not held or not fretboard.tuning.bears_bass or held[0].pitch_class == bass.pitch_class:
        return ""
    return f"{what} has {_spell(held[:1], name.chord)} in the bass, but {called}, which has {bass} there"


def _find_pitches(pinned: ShapeReading, fretboard: Fretboard) -> list[Pitch]:
    return sorted({pitch for pitch in pinned.shape.pitches(fretboard) if pitch is not None})


def tell_name(name: ChordName) -> str:
    """Return a name as it was given, and what it sounds where that is another."""
    return name.chord.text if name.played_as is None else f"{name.played_as.text} (it sounds {name.chord.text})"


def _name(pitches: Sequence[Pitch], fretboard: Fretboard) -> ChordName | None:
    names = rank_names_on(fretboard.tuning, pitches, limit=1) if len(pitches) > 1 else ()
    return next(iter(name_played(names, fretboard)), None)


def _spell(pitches: Sequence[Pitch], chord: Chord | None) -> str:
    """Name pitches as a chord spells them, those that are none of its notes with its signs."""
    if chord is None:
        return " ".join(pitch.name for pitch in pitches)
    own = {note.pitch_class: note for note in (*chord.notes, chord.sounding_bass)}
    notes = [own.get(pitch.pitch_class) or spell_beside(pitch.pitch_class, chord.notes) for pitch in pitches]
    return " ".join(SpelledPitch.of(pitch, note).text for pitch, note in zip(pitches, notes, strict=True))
