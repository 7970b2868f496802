"""A bar unfolded: its sound as a curve, what was held and what sounded on the whole neck, and what else it may be.

An outline is what the hand held, a filled mark what the strokes of this bar sounded, a dotted one another place of the
same note. Every picture carries its words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from listen.export.bar import Bar
from listen.export.bars import lay_bars
from listen.export.curve_svg import render_curve_svg
from listen.export.describe import describe_inversion
from listen.export.diagram import Diagram, Labels, PlaceMark, shape_to_diagram
from listen.export.held_names import HeldNames
from listen.export.labels import degree_of, note_of, print_notes_in, printed
from listen.export.page import as_drawing, render_page
from listen.export.svg import render_diagram_svg
from listen.export.words import LEAST_NAME, caution_for, effort_text, name_remarks, sure_of_names, sure_text
from listen.instrument import Fretboard
from listen.reading import ChordName, ChordSpan, GridPosition, Part, ShapeReading, clock_text
from listen.theory import Chord, Note, Pitch, is_no_chord, parse_chord

SHOWN_NAMES, SHOWN_SHAPES = 6, 6
SAID = "you said so"


@dataclass(frozen=True, slots=True)
class BarLook:
    """How an unfolded bar is shown.

    Parameters
    ----------
    labels : "degree", "note" or "finger"
        What stands in the marks.
    left_handed : bool
    """

    labels: Labels = "degree"
    left_handed: bool = False


def render_bar_fragment(
    part: Part, number: int, *, curve: Sequence[int], step_s: float, look: BarLook | None = None
) -> str | None:
    """Render one bar, or one stretch of free time, as HTML; None where there is none of that number.

    Parameters
    ----------
    part : Part
    number : int
    curve : sequence of int, 0..255
        See :func:`~listen.export.curve_svg.render_curve_svg`.
    step_s : float
    look : BarLook or None
    """
    look = look or BarLook()
    bar = next((bar for bar in lay_bars(part).written if bar.number == number), None)
    if bar is None:
        return None
    called = HeldNames(part)
    chords = _find_chords(part, bar)
    drawn = render_curve_svg(bar, curve, step_s=step_s, beats_s=part.bars.beats_s, ident=f"curve{number}")
    return render_page(
        "bar.html.j2",
        {
            "number": number,
            "is_measured": bar.is_measured,
            "clock": clock_text(bar.start_s),
            "start_s": round(bar.start_s, 4),
            "end_s": round(bar.end_s, 4),
            "curve": as_drawing(drawn),
            "strokes": [round(placed.stroke.span.start_s, 3) for placed in bar.strokes],
            "stops": [
                (
                    GridPosition(number, start + bar.before),
                    GridPosition(number, end + bar.before) if end < bar.n_steps else None,
                )
                for start, end in _find_stops(part, bar)
            ],
            "unread": any(change.kind == "unread" for change in (*bar.changes, *filter(None, [bar.held]))),
            "chords": [_chord(part, bar, index, called, look) for index in chords],
            "labels": look.labels,
            "is_moved": called.shift % 12 != 0,
        },
    )


def _find_chords(part: Part, bar: Bar) -> list[int]:
    """Return the indices of the spans that hold in a bar, in time order."""
    struck = {placed.event.span_index for placed in bar.strokes}
    if bar.held is not None and bar.held.span is not None:
        struck |= {
            index
            for index, span in enumerate(part.spans)
            if span.span.start_s < bar.end_s - 0.05 and span.span.end_s > bar.start_s + 0.05
        }
    return sorted(index for index in struck if index is not None)


def _find_stops(part: Part, bar: Bar) -> list[tuple[int, int]]:
    """Return from which steps to which a bar has no chord and no stroke, behind a chord that has a name."""
    held = bar.changes if bar.changes and bar.changes[0].step == 0 else (bar.held, *bar.changes)
    starts = [0 if change is bar.held else change.step for change in held if change is not None]
    ends = [*starts[1:], bar.n_steps]
    silent = [
        (start, end)
        for change, start, end in zip(filter(None, held), starts, ends, strict=True)
        if change.kind == "none" and not any(start <= placed.step < end for placed in bar.strokes)
    ]
    return [stop for stop in silent if bar.is_measured and _follows_named(part, bar, stop[0])]


def _follows_named(part: Part, bar: Bar, step: int) -> bool:
    """Tell whether the last stroke before a place in a bar sounds a chord that has a name."""
    earlier = [event for event in part.events if event.position is not None and event.position.bar < bar.number]
    struck = [*earlier, *(placed.event for placed in bar.strokes if placed.step < step)]
    index = struck[-1].span_index if struck else None
    return index is not None and part.spans[index].name is not None


def _chord(part: Part, bar: Bar, index: int, called: HeldNames, look: BarLook) -> dict[str, Any]:
    span = part.spans[index]
    ident = f"bar{bar.number}-{index}"
    start_s, end_s = max(bar.start_s, span.span.start_s), min(bar.end_s, span.span.end_s)
    chord = None if span.name is None else span.name.chord
    tuning, words = part.fretboard.tuning, _say_turned(part, span)
    shown = [name for at, name in enumerate(span.names[:SHOWN_NAMES]) if at == 0 or name.probability >= LEAST_NAME]
    is_said = _is_said(part, span)
    heard = sure_of_names(shown[is_said:], called.of_name)
    sure = [SAID, *(f"heard: {text}" for text in heard)] if is_said else heard
    names = [
        _name(name, called, describe_inversion(name.chord, tuning) if place else words, text)
        for place, (name, text) in enumerate(zip(shown, sure, strict=True))
    ]
    sure_of_shapes = [f"heard: {sure_text(one.probability)}" if is_said or span.pinned else sure_text(one.probability)
                      for one in span.shapes]  # fmt: skip
    if span.pinned or is_said:
        sure_of_shapes[:1] = [SAID if span.pinned else "for that name"]
    return {
        "index": index,
        "event": part.events[span.first_event].number,
        "name": called.of_span(span),
        "sounds": called.also_sounds(span.name),
        "start_s": round(start_s, 4),
        "end_s": round(max(end_s, start_s + 0.1), 4),
        "words": words,
        "remark": print_notes_in(span.remark),
        "pinned": span.pinned,
        "neck": _neck(part, bar, index, called, look),
        "notes": _notes(part, span, called),
        "names": names,
        "shapes": [
            _shape(shape, part, chord, look, f"{ident}-{place}") | {"sure": sure_of_shapes[place]}
            for place, shape in enumerate(span.shapes[:SHOWN_SHAPES])
        ],
    }


def _is_said(part: Part, span: ChordSpan) -> bool:
    """Tell whether a person gave a chord its name: it is certain, and no ear is."""
    if span.name is None or span.name.probability < 1.0:
        return False
    own = span.name.played_as or span.name.chord
    said = [one.value for one in part.settled.corrections if one.what == "name" and not is_no_chord(one.value)]
    return any(parse_chord(value).is_enharmonic_with(own) for value in said)


def _say_turned(part: Part, span: ChordSpan) -> str:
    """Say how a chord is turned: as its name says, or as the shape does that a person pinned."""
    if span.name is None or span.name.label:
        return ""
    chord, board = span.name.chord, part.fretboard
    if span.pinned and span.shape is not None and board.tuning.bears_bass:
        lowest = min(filter(None, span.shape.shape.pitches(board)), default=None)
        if lowest is not None:
            chord = replace(chord, bass=Note.parse(note_of(lowest, chord)))
    return describe_inversion(chord, board.tuning)


def _neck(part: Part, bar: Bar, index: int, called: HeldNames, look: BarLook) -> Any:
    """Draw the whole neck: held, sounded, and every other place of the same notes."""
    span, board = part.spans[index], part.fretboard
    if span.shape is None:
        return None
    chord = None if span.name is None else span.name.chord
    diagram = shape_to_diagram(
        span.shape.shape,
        board,
        fingering=span.shape.fingering,
        chord=chord,
        labels=look.labels,
        title=f"The neck: {span.shape.shape.text}",
        left_handed=look.left_handed,
    )
    struck = {
        (note.string_index, note.fret)
        for placed in bar.strokes
        if placed.event.span_index == index
        for note in placed.stroke.notes
    }
    marks = [_tell_sounded(mark, (mark.string_index, mark.fret) in struck) for mark in diagram.marks]
    own = {(mark.string_index, mark.fret) for mark in marks}
    pitches = {board.pitch_at(mark.string_index, mark.fret) for mark in marks}
    others = find_other_places(pitches, own, board)
    marks += [
        PlaceMark(
            string, fret, degree_of(pitch, chord) if look.labels == "degree" and chord else note_of(pitch, chord),
            "elsewhere root" if chord is not None and pitch.pitch_class == chord.root.pitch_class else "elsewhere",
        )
        for string, fret, pitch in others
    ]  # fmt: skip
    whole = _whole_neck(diagram, tuple(marks), board)
    quiet = [str(board.n_strings - string) for string, fret in sorted(own) if (string, fret) not in struck]
    silent = f" Held and not struck here: string {', '.join(quiet)}." if quiet and struck else ""
    places = "; ".join(f"string {board.n_strings - s} fret {f}, {called.of_pitch(p, span.name)}" for s, f, p in others)
    told = f"{diagram.description}{silent} The same notes elsewhere: {places or 'none'}."
    return as_drawing(render_diagram_svg(replace(whole, description=told), ident=f"bar{bar.number}-{index}-neck"))


def _whole_neck(diagram: Diagram, marks: tuple[PlaceMark, ...], board: Fretboard) -> Diagram:
    return replace(diagram, marks=marks, first_fret=1, last_fret=board.top_fret, places=True)


def _tell_sounded(mark: PlaceMark, sounded: bool) -> PlaceMark:
    if mark.form == "root":
        return replace(mark, form="sounded root" if sounded else "held root")
    return replace(mark, form="sounded" if sounded else "held")


def find_other_places(pitches: set[Pitch], own: set[tuple[int, int]], board: Fretboard) -> list[tuple[int, int, Pitch]]:
    """Return every other place of the same pitches: string index, fret and pitch."""
    return [
        (string, fret, pitch)
        for string in range(board.n_strings)
        for fret in range(board.top_fret + 1)
        if (string, fret) not in own and (pitch := board.pitch_at(string, fret)) in pitches
    ]


def _notes(part: Part, span: ChordSpan, called: HeldNames) -> list[dict[str, Any]]:
    """Return the notes, the highest first, each with the frets that sound it alone."""
    board, chord = part.fretboard, None if span.name is None else span.name.chord
    held = {} if span.shape is None else {
        pitch: (index, fret)
        for index, (pitch, fret) in enumerate(
            zip(span.shape.shape.pitches(board), span.shape.shape.frets, strict=True)
        )
        if pitch is not None
    }  # fmt: skip
    rows = []
    for note in reversed(span.notes):
        place = held.get(note.pitch)
        alone = ["x"] * board.n_strings
        if place is not None:
            alone[place[0]] = str(place[1])
        rows.append(
            {
                "name": called.of_pitch(note.pitch, span.name),
                "pitch": Pitch(note.pitch.midi - called.shift).name,
                "degree": "" if chord is None else printed(degree_of(note.pitch, chord)),
                "sure": sure_text(note.probability),
                "place": "" if place is None else f"string {board.n_strings - place[0]}, "
                + ("open" if place[1] == 0 else f"fret {place[1]}"),
                "frets": "" if place is None else "-".join(alone),
                "is_bass": span.bass is not None and span.bass.pitch == note.pitch,
            }
        )  # fmt: skip
    return rows


def _name(name: ChordName, called: HeldNames, turned: str, sure: str) -> dict[str, Any]:
    return {
        "text": called.of_name(name),
        "value": "" if name.label else called.chord_of(name).text,
        "sounds": name.chord.text if not name.label else "",
        "sure": sure,
        "words": "; ".join(filter(None, ["" if name.label else turned, name_remarks(name)])),
    }


def _shape(shape: ShapeReading, part: Part, chord: Chord | None, look: BarLook, ident: str) -> dict[str, Any]:
    diagram = shape_to_diagram(
        shape.shape,
        part.fretboard,
        fingering=shape.fingering,
        chord=chord,
        labels=look.labels,
        title=f"Shape {shape.shape.text}",
        left_handed=look.left_handed,
    )
    return {
        "frets": shape.shape.text,
        "box": as_drawing(render_diagram_svg(diagram, ident=ident)),
        "effort": effort_text(shape.fingering.effort),
        "caution": caution_for(shape.fingering),
    }
