"""Bars in a part document: places in them, how they are counted, where they begin, and the pattern of the commonest.

What can be worked out from other fields (``text`` of a position, ``signature`` of a metre) is not read back, so that
editing one field is enough.
"""

from __future__ import annotations

from typing import get_args

from listen.document.codec import Field, Record, choice, flag, integer, listed, made_of, nullable, number, text
from listen.document.name_codec import SHARE
from listen.document.setup_codec import KEY_CHANGE
from listen.document.time_codec import BAR_NUMBERS, RISING
from listen.evidence import Direction
from listen.reading import (
    STEPS_PER_BEAT,
    BarLength,
    Bars,
    GridPosition,
    Metre,
    PatternStroke,
    StrokeKind,
    StrummingPattern,
)

_LATE_S = (-60.0, 60.0)  # more than a minute off its place nothing was ever played; judged
_STEPS = (0, 32 * STEPS_PER_BEAT - 1)

DIRECTION = choice(*get_args(Direction), or_null=True)
STROKE_KIND = choice(*get_args(StrokeKind))

POSITION = Record(
    (
        Field("text", text(), "Bar and beat, for reading only.", is_read=False),
        Field("bar", integer(*BAR_NUMBERS), "Its number: bar 0 is the one before bar 1, such as a pickup."),
        Field(
            "step",
            integer(*_STEPS),
            "Twelfths of a beat from the bar line. A pickup is counted as the end of a whole bar: one beat before 4/4 "
            "has steps 36 to 47.",
        ),
        Field("deviation_s", number(*_LATE_S), "How much later than the grid it was played.", default=0.0),
    ),
    made_of(GridPosition),
)
AT_POSITION = nullable(POSITION.form("position"))

METRE = Record(
    (
        Field("signature", text(), is_read=False),
        Field("beats_per_bar", integer(1, 32), "As it is felt: 2 for 6/8."),
        Field("beat_unit", integer(1, 32)),
        Field("division", integer(1, 12)),
        Field("tempo_bpm", number(1, 1000)),
        Field("swing", SHARE, default=0.5),
        Field(
            "pickup_steps", integer(*_STEPS), "How long the pickup is, in twelfths of a beat; 0 for none.", default=0
        ),
        Field("probability", SHARE),
    ),
    made_of(Metre),
)
BAR_LENGTH = Record(
    (Field("bar", integer(*BAR_NUMBERS)), Field("n_beats", integer(1, 32), "As they are felt.")), made_of(BarLength)
)
BARS = Record(
    (
        Field("metre", nullable(METRE.form("metre")), "What the grid is made of; null in free time.", default=None),
        Field("metres", listed(METRE.form("metre"), "metre"), default=()),
        Field("beats_s", RISING, default=(), is_needed=True),
        Field(
            "bars_s", RISING, "Every bar line and the end of the last bar.",
            name="lines_s", default=(), is_needed=True,
        ),
        Field(
            "first_bar", integer(*BAR_NUMBERS),
            "The number of the first bar in bars_s: 1, or 0 or less where a pickup, or more, comes before bar 1.",
            default=1,
        ),
        Field(
            "bar_lengths", listed(BAR_LENGTH.form(), "bar length"),
            "Bars of another length than the metre's, a pickup aside: each has a signature of its own.",
            name="lengths", default=(), is_sparse=True,
        ),
        Field(
            "key_changes", listed(KEY_CHANGE.form(), "key change"),
            "Bars at which another key begins, in order; `key` holds before the first of them, or to the end.",
            default=(), is_sparse=True,
        ),
    ),
    made_of(Bars),
)  # fmt: skip
PATTERN_STROKE = Record(
    (
        Field("step", integer(*_STEPS)),
        Field("direction", DIRECTION, default=None, is_needed=True),
        Field("kind", STROKE_KIND),
        Field("accent", flag(), default=False, is_needed=True),
    ),
    made_of(PatternStroke),
)
PATTERN = Record(
    (
        Field("share", SHARE),
        Field("bars", listed(integer(*BAR_NUMBERS), "bar"), default=(), is_needed=True),
        Field(
            "nearly", listed(integer(*BAR_NUMBERS), "bar"), "Bars that are played so but for a stroke in six.",
            default=(), is_sparse=True,
        ),
        Field("strokes", listed(PATTERN_STROKE.form(), "stroke"), default=(), is_needed=True),
    ),
    made_of(StrummingPattern),
)  # fmt: skip
