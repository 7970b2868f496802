"""Routes of the neck: look a chord up without a recording."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import BaseModel

from listen.errors import bad_value
from listen.export import LEAST_NAME, overlay_shapes, render_shapes_fragment
from listen.harmony import name_played, rank_names_on
from listen.instrument import Fretboard, Shape
from listen.reading import ChordName
from listen.request import (
    FilterWords,
    ShapesRequest,
    ShapesShown,
    arrange_shapes,
    is_left_handed,
    parse_filters,
    parse_fretboard,
    parse_one_shape,
    parse_player,
)
from listen.theory import parse_chord
from listen.web.failures import FAILURES

router = APIRouter(prefix="/api", responses=FAILURES)
MOST_SHAPES = 12
OTHER_NAMES = 2  # that are told of a shape, beside its likeliest
SHAPE_LIKE = re.compile(r"\s*[xX\d][xX\d\s,-]{3,}")  # no chord begins so; as in views/neck.js
FINGERS_IN_SHAPES = "Fingers belong to a shape: on the whole neck the marks say notes."


class NeckAnswer(BaseModel):
    """The places of a chord, and the tuning that they lie in: the one that was asked for, or that the player keeps."""

    title: str
    tuning: str
    html: str


@router.get("/neck")
def look_up(
    chord: Annotated[str, Query(min_length=1, max_length=60)],
    by: Literal["map", "shapes", "inversion", "string-set"] = "map",
    labels: Literal["degree", "note", "finger"] = "degree",
    tuning: Annotated[str, Query(max_length=80)] = "",
    capo: Annotated[int, Query(ge=0, le=12)] = 0,
) -> NeckAnswer:
    """Show a chord on the neck: every tone of it, its easiest shapes, by inversion, or by sets of strings.

    A shape in place of a chord is named, and its likeliest name is shown.
    """
    board = parse_fretboard(tuning or None, capo)
    shape = parse_one_shape([chord], board) if SHAPE_LIKE.fullmatch(chord) else None
    names = () if shape is None else _name_shape(shape, board)
    request = ShapesRequest(
        chord=names[0].chord if names else parse_chord(chord),
        pitches=(),
        compared=(),
        fretboard=board,
        hand=parse_player(reach=None, thumb=None, fingerpicked=None),
        filters=parse_filters(FilterWords(), board),
        shown=ShapesShown(
            by="" if by in ("map", "shapes") else by,
            as_map=by == "map",
            labels="note" if by == "map" and labels == "finger" else labels,
            left_handed=is_left_handed(None),
        ),
        written="" if names else chord,
    )
    view = arrange_shapes(request, n_shapes=MOST_SHAPES if by == "shapes" else 4)
    if shape is not None:
        laid = None if view.map is None else overlay_shapes(view.map, [shape])
        view = replace(view, map=laid, remarks=(_tell_names(shape, names), *view.remarks))
    if by == "map" and labels == "finger":
        view = replace(view, remarks=(*view.remarks, FINGERS_IN_SHAPES))
    return NeckAnswer(
        title=view.title, tuning=board.tuning.name, html=render_shapes_fragment(view, labels=request.shown_labels)
    )


def _name_shape(shape: Shape, board: Fretboard) -> tuple[ChordName, ...]:
    """Name what a shape sounds, the likeliest first."""
    sounding = [pitch for pitch in shape.pitches(board) if pitch is not None]
    ranked = rank_names_on(board.tuning, sounding, limit=1 + OTHER_NAMES) if sounding else ()
    names = name_played(ranked, board)
    if not names:
        raise bad_value("shape", shape.text, allowed="notes that make a chord", remedy="Write a chord, e.g. Am7.")
    return names


def _tell_names(shape: Shape, names: tuple[ChordName, ...]) -> str:
    others = [name.printed for name in names[1:] if name.probability >= LEAST_NAME]
    also = f"; it may also be called {' or '.join(others)}" if others else ""
    played = names[0].played_as
    hand = f" (the hand plays {played.printed})" if played is not None else ""
    return f"{shape.text} is {names[0].printed}{hand}{also}."
