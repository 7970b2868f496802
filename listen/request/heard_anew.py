"""What was settled in an earlier reading, when its recording is heard anew: it stays at the times where it was told."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from listen.document import follow_events, list_numbers, renumber
from listen.reading import Correction, Part, Pin, Settled
from listen.request.hearing import KEPT_FORM, HeardRecording, conclude_part
from listen.request.history import History, Step
from listen.request.part_asked import settle_step

SAME_DURATION_S = 0.05  # recordings as long as one another are one, whatever they are called; judged


def place_settled(before: Part, heard: HeardRecording) -> Part:
    """Return an earlier part with the numbers that its events have in what is heard now.

    Numbers stay as they are where the part is of another recording, since its times say nothing of this one.
    """
    read, settled = before.recording, before.settled
    is_same_name = Path(read.file).name == Path(heard.source).name
    if not is_same_name and abs(read.duration_s - heard.duration_s) > SAME_DURATION_S:
        return before
    numbers = _follow(before, heard, list_numbers(settled.pins) | list_numbers(settled.corrections))
    placed = Settled(renumber(settled.pins, numbers), renumber(settled.corrections, numbers))
    return replace(before, settled=placed)


def place_history(history: History, before: Part, heard: HeardRecording) -> History:
    """Return a history whose steps, all of them, count the events of what is heard now; the same where they do.

    Parameters
    ----------
    history : History
        Unless they count so already, its numbers are those of `before`.
    before : Part
    heard : HeardRecording
    """
    if history.counts == KEPT_FORM:
        return history
    told = [one for step in history.steps for one in (step.pins, step.corrections)]
    numbers = _follow(before, heard, frozenset().union(*(list_numbers(one) for one in told)))
    steps = tuple(
        Step(step.label, renumber(step.pins, numbers), renumber(step.corrections, numbers)) for step in history.steps
    )
    return replace(history, steps=steps, counts=KEPT_FORM)


def follow_rewritten(history: History, versions: Iterable[Part], now: Part) -> History | None:
    """Return a history whose steps, all of them, count the events of a document that was heard anew and written again.

    Parameters
    ----------
    history : History
    versions : iterable of Part
        The document as it was at other steps of the history: their numbers are found by its events.
    now : Part
        The document as it is: another program wrote it.

    Returns
    -------
    History or None
        One version on, since what was seen counted otherwise; None where something else is settled in the document.
    """
    same = _match_numbers(history.now.settled, now.settled)
    if same is None:
        return None
    numbers, steps = dict(same), {step.settled for step in history.steps}
    there = {event.number for event in now.events}
    for was in versions:
        if was.settled not in steps:
            continue  # its numbers may be those of a reading before
        told = list_numbers(was.settled.pins) | list_numbers(was.settled.corrections)
        found = follow_events(was, now, told | (same.keys() & {event.number for event in was.events}))
        if any(found.get(number, place) in there - {place} for number, place in same.items()):
            return None  # it was told of another event
        numbers = found | numbers
    moved = tuple(
        Step(one.label, renumber(one.pins, numbers), renumber(one.corrections, numbers)) for one in history.steps
    )
    return replace(history, steps=moved, version=history.version + 1, counts="")


def _match_numbers(was: Settled, now: Settled) -> dict[int, int] | None:
    """Return which number each went to where nothing but numbers is another, and their order is not; else None."""
    told: list[tuple[Pin | Correction, ...]] = [(*one.pins, *one.corrections) for one in (was, now)]
    numbers = {
        before.event_number: after.event_number
        for before, after in zip(*told, strict=False)
        if before.event_number is not None and after.event_number is not None
    }
    placed = Settled(renumber(was.pins, numbers), renumber(was.corrections, numbers))
    after = [numbers[number] for number in sorted(numbers)]
    return numbers if placed == now and after == sorted(after) else None


def _follow(before: Part, heard: HeardRecording, numbers: frozenset[int]) -> dict[int, int]:
    """Find events of an earlier part in what is heard now, read with what was settled then.

    So read, the same evidence has the same events, and their numbers stay.
    """
    if not numbers:
        return {}
    was, board = before.settled, before.fretboard
    pins = tuple(pin for pin in was.pins if pin.bar is not None)
    corrections = tuple(one for one in was.corrections if one.bar is not None or one.event_number is None)
    settings = replace(
        settle_step(Step("", pins, corrections)),
        tuning=board.tuning,
        capo_fret=board.capo_fret,
        n_frets=board.n_frets,
        kept=(*pins, *corrections),
    )
    return follow_events(before, conclude_part(heard, settings), numbers)
