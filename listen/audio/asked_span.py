"""The stretch of a recording that is asked for, checked against the recording."""

from __future__ import annotations

import math
from pathlib import Path

from listen.audio.decode import SourceInfo
from listen.errors import bad_value
from listen.evidence import TimeSpan

MIN_DURATION_S = 0.1
"""A tenth of a second holds eight periods of the low E: less cannot be told from a click."""


def check_order(span: TimeSpan, info: SourceInfo) -> tuple[float, float]:
    """Return the ends of an asked span that lies in the recording."""
    start_s, end_s = span.start_s, span.end_s
    if not (math.isfinite(start_s) and math.isfinite(end_s) and 0.0 <= start_s < end_s):
        raise bad_value("span", f"{start_s}..{end_s} s", allowed="a start of 0 or more and an end after it, in seconds")
    if start_s >= info.duration_s:
        raise bad_value(
            "span",
            f"{start_s:g}..{end_s:g} s",
            allowed=f"a start before the recording's end at {info.duration_s:.2f} s",
        )
    return start_s, end_s


def describe_length(path: Path, duration_s: float, span: TimeSpan | None) -> str:
    """Say that a recording holds too little sound."""
    if duration_s == 0.0:
        where = "" if span is None else " in the asked span"
        return f"{path} holds no sound{where} (zero samples): record or export it again."
    where = f"{path} lasts" if span is None else f"The stretch of {path} that was asked for lasts"
    return f"{where} {1000 * duration_s:.0f} ms: a strum needs {1000 * MIN_DURATION_S:.0f} ms at least."
