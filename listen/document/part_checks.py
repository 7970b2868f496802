"""What the fields of a part document say together: bars, places in them, order in time, and the key told twice.

Each field by itself is checked where it is read (the files ``*_codec.py``); a part that contradicts itself
would be shown one way here and another way there, so it is refused, and the sentence says which two things to bring
together.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from listen.document.cursor import Cursor
from listen.reading import STEPS_PER_BEAT, ChordSpan, Event, GridPosition, Part, PartKey

ORDER_S = 1e-6  # how far a start may lie before the one before it: rounding


def check_part(part: Part, *, top: Cursor, key: PartKey | None) -> None:
    """Refuse a part that contradicts itself.

    Parameters
    ----------
    part : Part
    top : Cursor
        The document, for errors.
    key : PartKey or None
        The key that the document tells beside the list of keys.

    Raises
    ------
    DocumentError
    """
    if part.recording.span.end_s < part.recording.span.start_s:
        raise top.refuse(
            f'"span_s" ends at {part.recording.span.end_s:g} s, before it starts at {part.recording.span.start_s:g} s.'
        )
    if key is not None and (part.key is None or (key.tonic, key.mode) != (part.key.tonic, part.key.mode)):
        first = "there are none" if part.key is None else f"the first is {part.key.text}"
        raise top.refuse(f'"key" is {key.text}, but of the "keys" {first}; bring them together.')
    if part.bars.metre is not None and (len(part.bars.lines_s) < 2 or not part.bars.beats_s):
        raise top.refuse(
            'there is a metre, so "bars_s" needs the start of every bar and the end of the last one, and "beats_s" the '
            "beats; in free time the metre is null."
        )
    _check_key_changes(part, top)
    _check_order(((f"event {event.number}", event) for event in part.events), top)
    _check_order(((f"chord {number}", span) for number, span in enumerate(part.spans, start=1)), top)
    if part.bars.metre is None:
        return
    _check_lengths(part, top)
    for event in part.events:
        for position in (event.position, *(stroke.position for stroke in event.strokes)):
            _check_place(position, part, f"event {event.number}", top)
    for number, span in enumerate(part.spans, start=1):
        _check_place(span.position, part, f"chord {number}", top)


def _check_order(rows: Iterable[tuple[str, Event | ChordSpan]], top: Cursor) -> None:
    for (before, first), (after, second) in pairwise(rows):
        if second.span.start_s < first.span.start_s - ORDER_S:
            raise _at(top, after).refuse(
                f"it starts at {second.span.start_s:g} s, which is before {before} at {first.span.start_s:g} s."
            )


def _check_key_changes(part: Part, top: Cursor) -> None:
    bars, at = part.bars, _at(top, "key_changes")
    numbers, last_bar = [one.bar for one in bars.key_changes], bars.first_bar + len(bars.lines_s) - 2
    if numbers and (bars.metre is None or part.key is None):
        raise at.refuse("there is no metre or no key, so none changes at a bar; leave the list out.")
    for number in numbers:
        if not bars.first_bar < number <= last_bar:
            raise at.refuse(f"no key changes at bar {number}: bars {bars.first_bar + 1} to {last_bar}.")
    for before, after in pairwise(numbers):
        if after <= before:
            raise at.refuse(f"bar {after} stands after bar {before}; write the bars in order, each once.")


def _check_lengths(part: Part, top: Cursor) -> None:
    bars = part.bars
    last_bar, numbers = bars.first_bar + len(bars.lines_s) - 2, [one.bar for one in bars.lengths]
    for at, number in enumerate(numbers):
        if not bars.first_bar <= number <= last_bar:
            raise _at(top, "bar_lengths").refuse(f"there is no bar {number}: bars {bars.first_bar} to {last_bar}.")
        if number in numbers[:at]:
            raise _at(top, "bar_lengths").refuse(f"bar {number} is told twice; leave one of the lengths.")
        if bars.metre is not None and bars.metre.pickup_steps and number == bars.first_bar:
            raise _at(top, "bar_lengths").refuse(f"bar {number} is a pickup, whose length is told by pickup_steps.")


def _check_place(position: GridPosition | None, part: Part, label: str, top: Cursor) -> None:
    if position is None or part.bars.metre is None:
        return
    last_bar = part.bars.first_bar + len(part.bars.lines_s) - 2
    if not part.bars.first_bar <= position.bar <= last_bar:
        raise _at(top, label, "position").refuse(
            f"there is no bar {position.bar}: bars {part.bars.first_bar} to {last_bar}."
        )
    n_steps = part.bars.count_beats(position.bar) * STEPS_PER_BEAT
    if not 0 <= position.step < n_steps:
        raise _at(top, label, "position").refuse(
            f"step {position.step} is not in bar {position.bar}, whose steps run from 0 to {n_steps - 1}."
        )


def _at(top: Cursor, *labels: str) -> Cursor:
    return Cursor(top.value, top.name, labels)
