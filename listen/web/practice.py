"""Routes of practice: the next question, its sounds, an answer by click or by humming, and how it goes over time."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Literal, TypeVar

from fastapi import APIRouter, HTTPException, Query, Request, Response
from pydantic import BaseModel, Field

from listen.document import open_progress
from listen.errors import RecordingError
from listen.export import render_progress_fragment, render_sounding_cards
from listen.practice import (
    ABOUT,
    HUMMED_KINDS,
    LADDER,
    NAMED_KINDS,
    PLAYED_KINDS,
    Judgement,
    Question,
    advise,
    find_root_positions,
)
from listen.request import UnknownQuestionError, is_left_handed, samples_to_flac
from listen.web.bodies import take_pieces
from listen.web.failures import FAILURES
from listen.web.state import HeldState

router = APIRouter(prefix="/api/practice", responses=FAILURES)
MOST_ANSWER_BYTES = 4_000_000
TOO_LONG_AN_ANSWER = "An answer takes a second or two; this recording is too large."
LONGEST_ANSWER_S = 3600.0  # an answer that took longer was no answer; judged
Way = Literal["hum", "guitar"]
RECORDED: dict[Way, str] = {"hum": "Your hum", "guitar": "What you played"}
SoundAsked = Literal["question", "bass", "spelled", "rooted", "chosen"]
T = TypeVar("T")


class Choice(BaseModel):
    """One thing that may be answered."""

    key: str
    text: str


class AskedAnswer(BaseModel):
    """A question, without what is right."""

    ident: str
    kind: str
    prompt: str
    options: list[Choice]
    ways: list[Way]
    can_name: bool


class LadderStep(BaseModel):
    """A step of the ladder: a kind of question, and what it asks."""

    kind: str
    about: str


class JudgedAnswer(BaseModel):
    """What was right, what was heard of a hum, a chord played back or a name, and where it lies on the neck."""

    is_right: bool
    answer: str
    said: str
    text: str
    heard: str
    cents: float | None
    listen_for: str
    can_hear_chosen: bool
    can_hear_rooted: bool
    html: str


class Said(BaseModel):
    """An answer."""

    said: str = Field(max_length=80)
    took_s: float = Field(0.0, ge=0.0, le=LONGEST_ANSWER_S)


class ProgressAnswer(BaseModel):
    """How it goes."""

    html: str


@router.get("/steps")
def steps() -> list[LadderStep]:
    """List the steps of the ladder in their order; each may be asked, open or not."""
    return [LadderStep(kind=kind, about=ABOUT[kind]) for kind in LADDER]


@router.post("/questions", status_code=201)
def ask(held: HeldState, kind: Annotated[str, Query(max_length=40)] = "") -> AskedAnswer:
    """Ask the next question; ``kind`` asks a step of the ladder whatever is due."""
    ident, question = held.practice.ask(kind)
    options = [Choice(key=option.key, text=option.text) for option in question.options]
    told_by: tuple[tuple[Way, tuple[str, ...]], ...] = (("hum", HUMMED_KINDS), ("guitar", PLAYED_KINDS))
    ways = [way for way, kinds in told_by if question.kind in kinds]
    return AskedAnswer(
        ident=ident, kind=question.kind, prompt=question.prompt, options=options, ways=ways,
        can_name=question.kind in NAMED_KINDS,
    )  # fmt: skip


@router.get("/questions/{ident}/sound", response_class=Response)
def hear(ident: str, held: HeldState, what: SoundAsked = "question") -> Response:
    """Return the sound of a question; after the answer, its bass, its notes, its root position, or what was chosen."""
    samples = _known(held.practice.render, ident, what)
    return Response(samples_to_flac(samples), media_type="audio/flac", headers={"Cache-Control": "no-store"})


@router.post("/questions/{ident}/answer")
def answer(ident: str, said: Said, held: HeldState) -> JudgedAnswer:
    """Judge an answer and keep it."""
    return _tell(*_known(held.practice.answer, ident, said.said, said.took_s))


@router.post("/questions/{ident}/{how}")
async def record(
    ident: str, how: Way, request: Request, held: HeldState,
    took_s: Annotated[float, Query(ge=0.0, le=LONGEST_ANSWER_S)] = 0.0,
) -> JudgedAnswer:  # fmt: skip
    """Judge a recording of the hummed bass, or of the chord played back on a guitar; it is not kept."""
    from starlette.concurrency import run_in_threadpool

    pieces = take_pieces(request, most_bytes=MOST_ANSWER_BYTES, too_large=TOO_LONG_AN_ANSWER)
    heard = b"".join([piece async for piece in pieces])
    judge = held.practice.hum if how == "hum" else held.practice.play
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "answer"
        path.write_bytes(heard)
        try:
            return _tell(*await run_in_threadpool(_known, judge, ident, path, took_s))
        except RecordingError as error:
            raise _without_path(error, path, RECORDED[how]) from error


def _without_path(error: RecordingError, path: Path, name: str) -> RecordingError:
    """Say what is wrong with an answer: nobody at the page knows where it lay for a moment."""
    text = str(error).removeprefix(f"{path}: ").replace(repr(str(path)), name).replace(str(path), name)
    return RecordingError(text[:1].upper() + text[1:])


@router.get("/progress")
def progress() -> ProgressAnswer:
    """Show how practice has gone so far."""
    with open_progress() as kept:
        return ProgressAnswer(html=render_progress_fragment(kept.answers()))


def _known(work: Callable[..., T], *args: object) -> T:
    """Do something with a question; 404 where it is gone."""
    try:
        return work(*args)
    except UnknownQuestionError as error:
        raise HTTPException(404, str(error)) from error


def _tell(question: Question, judged: Judgement) -> JudgedAnswer:
    right = question.option(question.answer)
    chosen = question.option(judged.key)
    return JudgedAnswer(
        is_right=judged.is_right,
        answer=question.answer,
        said=judged.key,
        text="" if right is None else right.text,
        heard=judged.text[:1].upper() + judged.text[1:],
        cents=judged.cents,
        listen_for=advise(question, judged.key),
        can_hear_chosen=bool(chosen is not None and chosen.example and not judged.is_right),
        can_hear_rooted=bool(find_root_positions(question.sounds, question.fretboard)),
        html=render_sounding_cards(question, left_handed=is_left_handed(None)),
    )
