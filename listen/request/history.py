"""What a person settled in a part, step by step, so that every step can be taken back and taken again.

A step holds everything that is settled, not what changed: any of them can be gone back to without the others.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from listen.document import Cursor, Document, document_to_settled, settled_to_document
from listen.reading import Correction, Pin, Settled


@dataclass(frozen=True, slots=True)
class Step:
    """Everything that is settled after one change.

    Parameters
    ----------
    label : str
        What was done, as a person says it: ``"Called bar 3 Am7"``.
    pins : tuple of Pin
    corrections : tuple of Correction
    """

    label: str = ""
    pins: tuple[Pin, ...] = ()
    corrections: tuple[Correction, ...] = ()

    @property
    def settled(self) -> Settled:
        """As a part holds it."""
        return Settled(self.pins, self.corrections)


@dataclass(frozen=True, slots=True)
class History:
    """All steps, and which of them holds.

    Parameters
    ----------
    steps : tuple of Step
        The first is the part as it was read.
    at : int
        Index of the one that holds.
    version : int
        Rises with every change, undoing too: whoever changes says which version was seen.
    counts : str
        Which form of hearing the numbers of events count in; empty where that of the part beside it may be another.

    Examples
    --------
    >>> told = History().take_step(Step("Called bar 1 Am7"))
    >>> told.now.label, told.undo().now.label, told.undo().redo().now.label, told.undo().version
    ('Called bar 1 Am7', '', 'Called bar 1 Am7', 3)
    """

    steps: tuple[Step, ...] = (Step(),)
    at: int = 0
    version: int = 1
    counts: str = ""

    @property
    def now(self) -> Step:
        """The step that holds."""
        return self.steps[self.at]

    @property
    def undone(self) -> str:
        """What undoing would take back; empty where there is nothing."""
        return self.now.label if self.at else ""

    @property
    def redone(self) -> str:
        """What would be taken again; empty where there is nothing."""
        return self.steps[self.at + 1].label if self.at + 1 < len(self.steps) else ""

    def take_step(self, step: Step) -> History:
        """Settle something new; what was undone before is forgotten."""
        return replace(self, steps=(*self.steps[: self.at + 1], step), at=self.at + 1, version=self.version + 1)

    def undo(self) -> History:
        """Go a step back; the first stays."""
        return replace(self, at=max(0, self.at - 1), version=self.version + 1)

    def redo(self) -> History:
        """Go a step forward again; the last stays."""
        return replace(self, at=min(len(self.steps) - 1, self.at + 1), version=self.version + 1)


def history_to_document(history: History) -> Document:
    """Convert a history to what its file holds."""
    return {
        "version": history.version,
        "at": history.at,
        "counts": history.counts,
        "steps": [{"label": step.label, **settled_to_document(step.settled)} for step in history.steps],
    }


def document_to_history(document: object, *, name: str) -> History:
    """Convert what a file holds.

    Raises
    ------
    DocumentError
        It was edited by hand, or is damaged.
    """
    kept = Cursor(document, name)
    steps = tuple(_read_step(one) for one in kept.at("steps").items("step"))
    if not steps:
        raise kept.refuse("it has no step.")
    return History(steps, kept.integer("at", 0, len(steps) - 1), kept.integer("version", 0), kept.text("counts", ""))


def _read_step(kept: Cursor) -> Step:
    settled = document_to_settled(kept)
    return Step(kept.text("label"), settled.pins, settled.corrections)
