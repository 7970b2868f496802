"""Times and stretches of a recording, as a person types them."""

from __future__ import annotations

import re

from listen.errors import bad_value
from listen.evidence import TimeSpan

NO_END_S = 1e6  # eleven days: no recording is longer

_CLOCK = re.compile(r"(?:(\d{1,3}):)?(\d{1,6}(?:\.\d{1,6})?)")


def parse_time(name: str, text: str) -> float:
    """Read seconds or minutes and seconds.

    Examples
    --------
    >>> parse_time("at", "4.2"), parse_time("from", "1:10")
    (4.2, 70.0)
    """
    match = _CLOCK.fullmatch(text.strip())
    if match is None:
        raise bad_value(name, text, allowed="seconds, or minutes and seconds", remedy="Write 4.2 or 1:10.")
    minutes, seconds = match.groups(default="0")
    if match[1] is not None and float(seconds) >= 60.0:
        raise bad_value(name, text, allowed="seconds up to 59 after the colon", remedy="Write 4.2 or 1:10.")
    return 60.0 * int(minutes) + float(seconds)


def parse_span(file: str, from_time: str, to_time: str, *, length_s: float = NO_END_S) -> TimeSpan | None:
    """Read which stretch of a recording is meant; None where neither end is given.

    Parameters
    ----------
    file : str
        The recording, which tells how long it is.
    from_time, to_time : str
        As they were typed; empty where they were not.
    length_s : float
        From the start on, where no end is given.

    Raises
    ------
    BadValueError
        The end is not after the start, or the start is not in the recording.
    """
    if not (from_time or to_time):
        return None
    start_s = parse_time("from", from_time or "0")
    if from_time:
        check_within("from", from_time, start_s, file)
    end_s = parse_time("to", to_time) if to_time else start_s + length_s
    if end_s <= start_s:
        after = f"a time after {from_time}, where the stretch begins" if from_time else "a time after 0"
        raise bad_value("to", to_time, allowed=after)
    return TimeSpan(start_s, end_s)


def check_within(name: str, text: str, time_s: float, file: str, *, span: TimeSpan | None = None) -> None:
    """Refuse a time that is not in a recording, or not in its stretch that is asked for, and say where these end."""
    from listen.audio import probe_recording  # heavy

    duration_s = probe_recording(file).duration_s
    if time_s >= duration_s:
        minutes, seconds = divmod(duration_s, 60.0)
        raise bad_value(name, text, allowed=f"a time before the recording's end at {minutes:.0f}:{seconds:04.1f}")
    if span is not None and not span.start_s <= time_s < span.end_s:
        end_s = min(span.end_s, round(duration_s, 1))
        allowed = f"a time in the stretch that is listened to, {span.start_s:g} to {end_s:g} s"
        raise bad_value(name, text, allowed=allowed, remedy="Leave out the stretch, or the time.")
