"""What was settled in an earlier reading, when its recording is heard anew: it stays at the times where it was told."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from listen.document import follow_events, list_numbers, renumber
from listen.reading import Part, Settled
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
