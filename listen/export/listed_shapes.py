"""The shapes that are listed beside a chart: each form of each chord that the chart shows, once.

A chord that is held in two ways says of the rarer one where that is.
"""

from __future__ import annotations

from dataclasses import replace

from listen.export.bar import find_metre
from listen.export.bars import LaidPart
from listen.harmony import name_played, rank_names_on
from listen.instrument import Shape
from listen.reading import ChordSpan, Part, clock_text

MOST_PLACES = 3  # that are told of one shape


def list_first_spans(laid: LaidPart) -> tuple[ChordSpan, ...]:
    """Return the first span of each different name and shape, in the order in which they come.

    What the chart does not show has no shape beside it, and a form that another one of its chord has whole, with a
    string left out, is not listed by itself: x0x220 beside x02220. What a stroke left out stands in the tablature. A
    string below the chord's own bass is no such one: C is x32010 and 032010 where it is held both ways.
    """
    part = laid.part
    shown = {change.span.first_event for bar in laid.written for change in bar.changes if change.span}
    found: dict[tuple[str, Shape], ChordSpan] = {}
    for span in part.spans:
        if span.shape is not None and "passing" not in span.marks and span.first_event in shown:
            found.setdefault(("" if span.name is None else span.name.text, span.shape.shape), span)
    return tuple(
        span
        for (name, _), span in found.items()
        if span.pinned or not any(other == name and _is_left_of(span, whole, part) for other, whole in found)
    )


def find_rarer_places(laid: LaidPart) -> dict[tuple[str, Shape], str]:
    """Return where each listed shape is held whose chord is mostly held otherwise: ``bar 3``, ``bars 3, 7``.

    By the text of the name and the shape; of forms that are held as often, the first one listed is the usual one.
    """
    places: dict[tuple[str, Shape], list[str]] = {}
    for bar in laid.written:
        for change in bar.changes:
            if change.span is not None and change.span.shape is not None and not change.is_passing:
                name = "" if change.span.name is None else change.span.name.text
                place = str(bar.number) if bar.is_measured else clock_text(change.time_s)
                places.setdefault((name, change.span.shape.shape), []).append(place)
    rarer: dict[tuple[str, Shape], str] = {}
    usual: dict[str, tuple[str, Shape]] = {}
    is_measured = find_metre(laid.part) is not None
    listed = [(span.name.text, span.shape.shape) for span in list_first_spans(laid) if span.name and span.shape]
    for form in sorted(listed, key=lambda form: -len(places.get(form, ()))):
        if usual.setdefault(form[0], form) != form and (found := list(dict.fromkeys(places.get(form, ())))):
            told = ", ".join(found[:MOST_PLACES]) + (" …" if len(found) > MOST_PLACES else "")
            rarer[form] = f"bar{'s' if len(found) > 1 else ''} {told}" if is_measured else told
    return rarer


def call_by_shape(span: ChordSpan, part: Part) -> ChordSpan:
    """Return a held chord as its shape is to be headed: one that was pinned and sounds other notes by its own name."""
    if not span.pinned or span.shape is None or span.name is None or span.name.probability >= 1.0:
        return span
    pitches = [pitch for pitch in span.shape.shape.pitches(part.fretboard) if pitch is not None]
    if {pitch.pitch_class for pitch in pitches} <= span.name.chord.pitch_classes:
        return span
    names = name_played(rank_names_on(part.fretboard.tuning, pitches, limit=1), part.fretboard)
    return replace(span, names=(*names, *span.names))


def _is_left_of(span: ChordSpan, whole: Shape, part: Part) -> bool:
    """Tell whether a span's shape is another one with strings left out, and none that takes its bass from the chord."""
    if span.shape is None:
        return False
    shape, bass = span.shape.shape, None if span.name is None else span.name.chord.sounding_bass.pitch_class
    pairs = list(zip(shape.frets, whole.frets, strict=True))
    is_part = shape != whole and all(fret is None or fret == other for fret, other in pairs)
    return is_part and (_find_lowest(shape, part) != bass or bass == _find_lowest(whole, part))


def _find_lowest(shape: Shape, part: Part) -> int:
    """Return the pitch class of the lowest string that sounds."""
    return min(pitch for pitch in shape.pitches(part.fretboard) if pitch is not None).pitch_class
