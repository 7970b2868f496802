"""What the server holds while it runs, and how a route gets at it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends, Request

from listen.request import Desk, Library, PracticeTable
from listen.web.events import Hub
from listen.web.reader import Reader


@dataclass(frozen=True, slots=True)
class Held:
    """The library, the desk in front of it, the reader, the tabs that listen, and practice's questions."""

    library: Library
    desk: Desk
    reader: Reader
    hub: Hub
    practice: PracticeTable = field(default_factory=PracticeTable)


def get_held(request: Request) -> Held:
    """Return what the server holds."""
    held = request.app.state.held
    assert isinstance(held, Held)  # noqa: S101
    return held


HeldState = Annotated[Held, Depends(get_held)]
