"""Where the reading of a chord is in doubt: marked in the chart, and said once below it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.export.bar import Bar
from listen.export.held_names import HeldNames
from listen.reading import ChordSpan, Part, clock_text

DOUBTFUL_NAME = 0.6  # a name less likely than this is marked; judged, not measured
MARK = "?"
MOST_TIMES = 3  # that are told of one name


@dataclass(frozen=True, slots=True)
class Doubt:
    """A name that may be another one.

    Parameters
    ----------
    text : str
        As the chart calls the chord.
    other : str
        What else it may be called; empty where nothing else was read.
    first_event : int
        Of the first held chord that is in doubt so.
    times_s : tuple of float
        When the chords that are in doubt so begin.
    """

    text: str
    other: str
    first_event: int
    times_s: tuple[float, ...]


def find_doubts(part: Part, names: HeldNames) -> tuple[Doubt, ...]:
    """Return the doubtful names of a part, each once, in the order in which they come."""
    found: dict[str, Doubt] = {}
    for span in part.spans:
        if not _is_doubtful(span):
            continue
        text = names.of_span(span)
        before = found.get(text)
        times_s = (*(before.times_s if before else ()), span.span.start_s)
        first = before.first_event if before else span.first_event
        found[text] = Doubt(text, (before.other if before else "") or _other(span, text, names), first, times_s)
    return tuple(found.values())


def find_marked(bars: Sequence[Bar], doubts: Sequence[Doubt]) -> frozenset[tuple[int, int]]:
    """Return where the chart marks a doubt: the index of a bar, and a step in it."""
    first = {doubt.first_event for doubt in doubts}
    return frozenset(
        (index, change.step)
        for index, bar in enumerate(bars)
        for change in bar.changes
        if change.span is not None and change.span.first_event in first
    )


def doubt_text(doubts: Sequence[Doubt]) -> str:
    """Say what is in doubt, and when to listen; empty where nothing is.

    Examples
    --------
    >>> doubt_text([Doubt("Am7", "C6", 4, (12.2, 30.0))])
    '? not sure: Am7 at 0:12, 0:30 (or C6).'
    """
    rows = []
    for doubt in doubts:
        times = ", ".join(clock_text(time_s) for time_s in doubt.times_s[:MOST_TIMES])
        more = " …" if len(doubt.times_s) > MOST_TIMES else ""
        rows.append(f"{doubt.text} at {times}{more}{f' (or {doubt.other})' if doubt.other else ''}")
    return f"{MARK} not sure: {'; '.join(rows)}." if rows else ""


def _is_doubtful(span: ChordSpan) -> bool:
    named = span.name is not None and span.name.probability < DOUBTFUL_NAME
    return named and not span.pinned and "passing" not in span.marks


def _other(span: ChordSpan, text: str, names: HeldNames) -> str:
    others = (names.of_span(replace(span, names=(name,))) for name in span.names[1:])
    return next((other for other in others if other != text), "")
