"""Words that a person gave to a part: its title, names of sections, lines of lyrics, and in which bars they stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import PurePath

from listen.export.bar import find_meant_bar
from listen.export.style import TextStyle, visible_width, wrap_text
from listen.reading import Corrected, Event, Part

LEAST_ROOM = 8  # columns for words, however narrow the terminal


def find_given_title(part: Part) -> str:
    """Return the title that was given, or nothing."""
    return next((one.value for one in part.settled.corrections if one.what == "title"), "")


def find_title(part: Part) -> str:
    """Return what a part is called: the title that was given, or the name of its recording."""
    return find_given_title(part) or PurePath(TextStyle().plain(part.recording.file)).stem or "Part"


def find_words(part: Part, what: Corrected) -> Mapping[int, str]:
    """Return the words of one kind, ``section`` or ``lyrics``, by the number of the bar that they belong to.

    Those of one bar are joined in the order of their events.
    """
    given = {one.event_number: one.value for one in part.settled.corrections if one.what == what}
    words: dict[int, list[str]] = {}
    for event in part.events:
        bar = find_words_bar(part, event) if event.number in given else None
        if bar is not None:
            words.setdefault(bar, []).append(given[event.number])
    return {bar: " ".join(said) for bar, said in words.items()}


def find_words_bar(part: Part, event: Event) -> int | None:
    """Return the bar that words belong to which begin at an event.

    It is the bar in which the event lies; of a chord that comes early, over a bar line, the bar that it is meant for,
    where the part has one.
    """
    at = event.position
    if at is None or part.bars.metre is None or event.span_index is None:
        return None if at is None else at.bar
    span = part.spans[event.span_index]
    begins = part.events[span.first_event].number == event.number
    return find_meant_bar(part, at, is_pushed=begins and "pushed" in span.marks)


def head_words(text: str, style: TextStyle) -> list[str]:
    """Return a title or the name of a section in lines that are no wider than the rest."""
    return _cut(style.plain(text), style.width)


def _cut(text: str, room: int) -> list[str]:
    """Wrap words; one that is longer than the room is cut."""
    wide = max(room, LEAST_ROOM)
    lines = wrap_text(text, width=wide)
    return [line[at : at + wide] for line in lines for at in range(0, len(line), wide)]


def lay_words(words: Sequence[tuple[int, str]], style: TextStyle) -> list[str]:
    """Lay words under the bars of a line, each from its bar's column on, a line further down where one is in the way.

    Examples
    --------
    >>> lay_words([(2, "Home again,"), (8, "home again")], TextStyle(width=24))
    ['  Home again,', '        home again']
    """
    rows: list[str] = []
    for column, text in words:
        at = 0
        for piece in _cut(style.plain(text), style.width - column):
            while at < len(rows) and visible_width(rows[at]) >= column:
                at += 1
            rows += [""] if at == len(rows) else []
            rows[at] += " " * (column - visible_width(rows[at])) + piece
            at += 1
    return rows
