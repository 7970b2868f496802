"""A chord on the whole neck: every tone of it, or some of its shapes laid over that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.export import Diagram, ShapeSection, chord_to_diagram, overlay_shapes
from listen.instrument import parse_shape
from listen.request.shapes_request import ShapesRequest


def map_chord(request: ShapesRequest) -> Diagram:
    """Map the chord that was asked for, on the frets and the strings that were asked for."""
    assert request.chord is not None  # noqa: S101  (the request has refused everything else)
    return chord_to_diagram(
        request.chord,
        request.fretboard,
        labels=request.shown_labels,
        frets=request.filters.frets,
        strings=request.filters.strings,
        title=f"{request.chord.printed} on the neck",
        left_handed=request.shown.left_handed,
    )


def lay_over_neck(groups: Sequence[ShapeSection], request: ShapesRequest) -> tuple[ShapeSection, ...]:
    """Lay the shapes of each group over a neck of its own."""
    neck = map_chord(request)
    return tuple(
        replace(
            group,
            map=replace(
                overlay_shapes(neck, [parse_shape(card.frets, fretboard=request.fretboard) for card in group.cards]),
                title=f"{neck.title}: {group.title}",
            ),
        )
        for group in groups
    )
