"""Words that a person gave to a part: its title, names of sections, lines of lyrics, and in which bars they stand."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import PurePath

from listen.export.style import TextStyle
from listen.reading import Corrected, Part


def find_title(part: Part) -> str:
    """Return what a part is called: the title that was given, or the name of its recording."""
    given = next((one.value for one in part.settled.corrections if one.what == "title"), "")
    return given or PurePath(TextStyle().plain(part.recording.file)).stem or "Part"


def find_words(part: Part, what: Corrected) -> Mapping[int, str]:
    """Return the words of one kind, ``section`` or ``lyrics``, by the number of the bar in which their event lies."""
    bars = {event.number: event.position.bar for event in part.events if event.position is not None}
    given = [one for one in part.settled.corrections if one.what == what]
    return {bars[one.event_number]: one.value for one in given if one.event_number in bars}
