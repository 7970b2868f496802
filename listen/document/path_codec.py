"""The path of the hand in a part document: what it costs, and where another path is gentler."""

from __future__ import annotations

from listen.document.codec import Field, Form, Record, listed, made_of, nullable, number
from listen.document.shape_codec import SHAPE
from listen.reading import HandPath, PathDifference

_COST = (-1e4, 1e4)  # of one move, in points of effort: a thousand times the hardest
_TOTAL = (-1e9, 1e9)  # of all moves of a part

CHORD_NUMBER = Form(
    {"type": "integer", "minimum": 1},
    lambda cursor, context: cursor.as_integer(1, context.n_chords) - 1,
    lambda index, _: index + 1,
)
"""A chord of the part: counted from 1 in the document, from 0 in its value."""
DIFFERENCE = Record(
    (
        Field("chord", CHORD_NUMBER, name="span_index"),
        Field("cheapest", SHAPE.form("shape")),
        Field("gentlest", SHAPE.form("shape")),
    ),
    made_of(PathDifference),
)
PATH = Record(
    (
        Field("total_cost", number(*_TOTAL)),
        Field("hardest_cost", number(*_COST)),
        Field("hardest_chord", nullable(CHORD_NUMBER), name="hardest_span", default=None, is_needed=True),
        Field("gentlest_total_cost", number(*_TOTAL)),
        Field("gentlest_hardest_cost", number(*_COST)),
        Field("differences", listed(DIFFERENCE.form(), "difference"), default=(), is_needed=True),
    ),
    made_of(HandPath),
)
