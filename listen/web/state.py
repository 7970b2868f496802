"""What the server holds while it runs, and how a route gets at it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends, Request

from listen.request import Desk, HomeworkShelf, Library, PracticeTable
from listen.web.checker import Checker
from listen.web.events import Hub
from listen.web.reader import Reader


@dataclass(frozen=True, slots=True)
class Held:
    """The library, the desk in front of it, the reader, the tabs that listen, homework, and practice's questions."""

    library: Library
    desk: Desk
    reader: Reader
    hub: Hub
    homework: HomeworkShelf
    checker: Checker
    practice: PracticeTable = field(default_factory=PracticeTable)


def get_held(request: Request) -> Held:
    """Return what the server holds."""
    held = request.app.state.held
    assert isinstance(held, Held)  # noqa: S101
    return held


HeldState = Annotated[Held, Depends(get_held)]
