"""Routes of the player's hand: for which hand the neck is drawn, how far it reaches; kept as by ``listen settings``."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, Field

from listen.document import PlayerSettings, change_settings, load_settings
from listen.web.failures import FAILURES

router = APIRouter(prefix="/api", responses=FAILURES)


class HandAnswer(BaseModel):
    """For which hand the neck is drawn, and how far it reaches."""

    left_handed: bool
    reach: str


class HandAsked(BaseModel):
    """What is to be kept; what is not named stays."""

    left_handed: bool | None = None
    reach: Annotated[str | None, Field(max_length=20)] = None


@router.get("/hand")
def show_hand() -> HandAnswer:
    """Show what is kept of the player's hand."""
    return _answer(load_settings())


@router.post("/hand")
def change_hand(asked: HandAsked) -> HandAnswer:
    """Keep for which hand the neck is drawn, or how far it reaches."""
    return _answer(change_settings(asked.model_dump(exclude_none=True)))


def _answer(settings: PlayerSettings) -> HandAnswer:
    return HandAnswer(left_handed=settings.left_handed, reach=settings.reach)
