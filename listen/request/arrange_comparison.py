"""Chords of one root side by side: which tone came, moved or went, and where that is under the fingers."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from listen.export import (
    PlaceMark,
    ShapeCard,
    ShapeSection,
    ShapesView,
    chord_words,
    find_window,
    printed,
    shape_to_card,
)
from listen.voicing import ToneChange, compare_chords, compare_shapes, find_nearest_shape, find_shapes

if TYPE_CHECKING:
    from listen.instrument import Shape
    from listen.request.shapes_request import ShapesRequest
    from listen.theory import Chord

N_STARTING_SHAPES = 2  # of the first chord; each is followed by the nearest shape of every other


def arrange_comparison(request: ShapesRequest) -> ShapesView:
    """Lay the other chords beside the first, each at the shape that changes least under the fingers."""
    chord = request.chord
    assert chord is not None  # noqa: S101  (the request has refused notes)
    remarks = []
    for other in request.compared:
        changes = [_change_text(change) for change in compare_chords(chord, other) if change.kind != "kept"]
        remarks.append(f"{other.printed}, {chord_words(other)}: {'; '.join(changes) or 'the same tones'}.")
    found = find_shapes(chord, fretboard=request.fretboard, hand=request.hand, filters=request.filters)
    groups = []
    for voicing in found[: min(N_STARTING_SHAPES, request.shown.n_shapes)]:
        first = shape_to_card(
            voicing.shape,
            request.fretboard,
            fingering=voicing.fingering,
            chord=chord,
            labels=request.shown_labels,
            left_handed=request.shown.left_handed,
        )
        cards = [replace(first, frets=f"{chord.printed}  {first.frets}")]
        cards += [_nearest_card(voicing.shape, other, request) for other in request.compared]
        groups.append(ShapeSection(f"From {voicing.shape.text}", tuple(cards)))
    title = " · ".join(each.printed for each in (chord, *request.compared))
    words = ", ".join(
        f"{note.printed} ({printed(str(tone))})" for note, tone in zip(chord.notes, chord.quality.tones, strict=True)
    )
    return ShapesView(
        title,
        f"{chord_words(chord)}: {words}. Beside it:",
        request.fretboard,
        tuple(groups),
        remarks=tuple(remarks),
        is_comparison=True,
    )


def _change_text(change: ToneChange) -> str:
    """Say what became of a tone: ``♭7 moves to 7``, ``9 is added``."""
    tone = printed(str(change.before or change.after))
    return f"{tone} moves to {printed(str(change.after))}" if change.kind == "moved" else f"{tone} is {change.kind}"


def _nearest_card(shape: Shape, other: Chord, request: ShapesRequest) -> ShapeCard:
    assert request.chord is not None  # noqa: S101
    board = request.fretboard
    nearest = find_nearest_shape(shape, other, board, hand=request.hand)
    changes = compare_shapes(shape, nearest.shape, request.chord, other, board)
    card = shape_to_card(
        nearest.shape,
        board,
        fingering=nearest.fingering,
        chord=other,
        labels=request.shown_labels,
        left_handed=request.shown.left_handed,
    )
    changed = {change.string_index for change in changes}
    marks = [
        replace(mark, form="changed") if mark.string_index in changed and mark.form == "tone" else mark
        for mark in card.diagram.marks
    ]
    marks += [
        PlaceMark(change.string_index, change.before_fret, "" if change.before is None else str(change.before), "gone")
        for change in changes
        if change.before_fret
    ]
    first, last = find_window((*nearest.shape.frets, *(mark.fret for mark in marks)), top_fret=board.top_fret)
    diagram = replace(card.diagram, marks=tuple(marks), first_fret=first, last_fret=last)
    n = board.n_strings
    told = [_tell(n - change.string_index, change.before_fret, change.after_fret) for change in changes]
    return replace(
        card, diagram=diagram, frets=f"{other.printed}  {card.frets}", remark="; ".join(told) or "the same shape"
    )


def _tell(string: int, before: int | None, after: int | None) -> str:
    if after is None:
        return f"string {string} left out"
    place = "open" if after == 0 else f"fret {after}"
    return (
        f"string {string} now {place}"
        if before is None
        else f"string {string} from {before or 'open'} to {after or 'open'}"
    )
