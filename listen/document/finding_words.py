"""What a finding of time says in words: how documents and tables hold it, and how it is read back from them."""

from __future__ import annotations

import re

from listen.reading import Finding, FindingKind

_CHANGE = re.compile(r"(\S.*) on the beat")
_OFF = re.compile(r"(\d{1,6}) ms (late|early)")
_STOP = re.compile(r"a stop of (\d{1,6}) ms")
_GOING_ON = "going on in time"


def finding_words(one: Finding) -> tuple[str, str]:
    """Return what was to be and what was heard, in words.

    Examples
    --------
    >>> finding_words(Finding("late", 7, 3.0, 14.0, "Am", off_ms=300))
    ('Am on the beat', '300 ms late')
    >>> finding_words(Finding("late", 7, 3.0, 14.0, off_ms=300))
    ('going on in time', 'a stop of 300 ms')
    """
    if one.off_ms is None:
        return one.expected, one.heard
    if one.is_stop:
        return _GOING_ON, f"a stop of {one.off_ms} ms"
    return f"{one.expected} on the beat", f"{one.off_ms} ms {one.kind}"


def parse_finding_words(kind: FindingKind, expected: str, heard: str) -> tuple[str, str, int | None]:
    """Take a finding of time from its words: the chord that was due, "" and by how much; other words stay.

    Examples
    --------
    >>> parse_finding_words("late", "Am on the beat", "300 ms late")
    ('Am', '', 300)
    """
    change, off, stop = _CHANGE.fullmatch(expected), _OFF.fullmatch(heard), _STOP.fullmatch(heard)
    if change and off and off[2] == kind:
        return change[1], "", int(off[1])
    if stop and expected == _GOING_ON and kind == "late":
        return "", "", int(stop[1])
    return expected, heard, None
