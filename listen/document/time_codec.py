"""Times in a part document: spans, rows of times that rise, and the numbers that bars may have."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from listen.document.codec import Field, Form, Record, number
from listen.document.cursor import Cursor
from listen.evidence import TimeSpan

BAR_NUMBERS = (-1_000_000, 1_000_000)
SECONDS = (-60.0, 1e6)  # a bar may begin before the recording; eleven days: none is longer


def _read_span(cursor: Cursor, _: object) -> TimeSpan:
    ends = [at.as_number(*SECONDS) for at in cursor.items(cursor.address[-1])]
    if len(ends) != 2:
        raise cursor.outside().refuse(f'"{cursor.address[-1]}" takes a start and an end in seconds.')
    return TimeSpan(*ends)


SPAN = Form(
    {"type": "array", "items": number(*SECONDS).schema, "minItems": 2, "maxItems": 2},
    _read_span,
    lambda span, _: [float(span.start_s), float(span.end_s)],
)


def _make_span(values: dict[str, Any], cursor: Cursor, _: object) -> TimeSpan:
    span = TimeSpan(**values)
    if span.end_s < span.start_s:
        raise cursor.refuse(f"it ends at {span.end_s:g} s, before it starts at {span.start_s:g} s.")
    return span


START_AND_END = Record((Field("start_s", number(*SECONDS)), Field("end_s", number(*SECONDS))), _make_span)


def _read_rising(cursor: Cursor, _: object) -> tuple[float, ...]:
    key = cursor.address[-1]
    times = tuple(at.as_number(*SECONDS) for at in cursor.items(key))
    for number_, (before, after) in enumerate(pairwise(times), start=2):
        if after <= before:
            raise cursor.outside().refuse(
                f"{key.removesuffix('_s')} {number_} begins at {after:g} s, which is not after {before:g} s."
            )
    return times


RISING = Form(
    {"type": "array", "items": number(*SECONDS).schema},
    _read_rising,
    lambda times, _: [float(time) for time in times],
)
