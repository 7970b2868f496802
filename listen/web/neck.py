"""Routes of the neck: look a chord up without a recording."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Query
from pydantic import BaseModel

from listen.export import render_shapes_fragment
from listen.request import (
    FilterWords,
    ShapesRequest,
    ShapesShown,
    arrange_shapes,
    is_left_handed,
    parse_filters,
    parse_fretboard,
    parse_player,
)
from listen.theory import parse_chord
from listen.web.failures import FAILURES

router = APIRouter(prefix="/api", responses=FAILURES)
MOST_SHAPES = 12


class NeckAnswer(BaseModel):
    """The places of a chord."""

    title: str
    html: str


@router.get("/neck")
def look_up(
    chord: Annotated[str, Query(min_length=1, max_length=60)],
    by: Literal["map", "shapes", "inversion", "string-set"] = "map",
    labels: Literal["degree", "note", "finger"] = "degree",
    tuning: Annotated[str, Query(max_length=80)] = "",
    capo: Annotated[int, Query(ge=0, le=12)] = 0,
) -> NeckAnswer:
    """Show a chord on the neck: every tone of it, its easiest shapes, by inversion, or by sets of strings."""
    board = parse_fretboard(tuning or None, capo)
    request = ShapesRequest(
        chord=parse_chord(chord),
        pitches=(),
        compared=(),
        fretboard=board,
        hand=parse_player(reach=None, thumb=None, fingerpicked=None),
        filters=parse_filters(FilterWords(), n_strings=board.n_strings),
        shown=ShapesShown(
            by="" if by in ("map", "shapes") else by,
            as_map=by == "map",
            labels="note" if by == "map" and labels == "finger" else labels,
            left_handed=is_left_handed(None),
        ),
    )
    view = arrange_shapes(request, n_shapes=MOST_SHAPES if by == "shapes" else 4)
    return NeckAnswer(title=view.title, html=render_shapes_fragment(view, labels=request.shown_labels))
