"""Routes of the library: bring a recording in, see how far it is, stop it, throw it away, take it back."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import PurePath
from typing import Annotated, BinaryIO

from fastapi import APIRouter, HTTPException, Query, Request
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool

from listen.audio import RECORDING_ENDINGS
from listen.document import open_whole
from listen.request import DamagedFolder, Take
from listen.web.bodies import take_pieces
from listen.web.failures import FAILURES
from listen.web.state import HeldState

MOST_BYTES = 512 * 1024 * 1024  # an hour of stereo at 48 kHz and 24 bits is twice as much, as FLAC about this
LONGEST_NAME = 120

router = APIRouter(prefix="/api", responses=FAILURES)


class TakeAnswer(BaseModel):
    """A recording in the library."""

    ident: str
    name: str
    added_s: float
    state: str
    message: str
    duration_s: float
    document: str


class DamagedAnswer(BaseModel):
    """A folder in the library whose thing cannot be read."""

    folder: str
    why: str


class LibraryAnswer(BaseModel):
    """All recordings, where they are kept, and which of them cannot be read."""

    folder: str
    takes: list[TakeAnswer]
    damaged: list[DamagedAnswer]


class NameAsked(BaseModel):
    """A name for a recording."""

    name: str = Field(min_length=1, max_length=LONGEST_NAME)


def answer_take(take: Take) -> TakeAnswer:
    """Return what is told of a take."""
    known = asdict(take)
    return TakeAnswer(**{name: known[name] for name in TakeAnswer.model_fields})


def answer_damaged(damaged: Iterable[DamagedFolder]) -> list[DamagedAnswer]:
    """Return what is told of folders that cannot be read."""
    return [DamagedAnswer(folder=str(one.folder), why=one.why) for one in damaged]


@router.get("/takes")
def list_takes(held: HeldState) -> LibraryAnswer:
    """List the library."""
    takes, damaged = held.library.sort_takes()
    return LibraryAnswer(
        folder=str(held.library.folder),
        takes=[answer_take(take) for take in takes],
        damaged=answer_damaged(damaged),
    )


@router.post("/takes", status_code=201)
async def add_take(
    request: Request, held: HeldState, name: Annotated[str, Query(min_length=1, max_length=LONGEST_NAME)]
) -> TakeAnswer:
    """Bring a recording in: its bytes are the body, its name says nothing but what it is called."""
    shown = _to_name(PurePath(name.replace("\\", "/")).name)
    suffix = PurePath(shown).suffix.lower()
    suffix = suffix if suffix in RECORDING_ENDINGS else ".sound"
    with held.library.receive(shown, suffix) as (take, path), open_whole(path) as stream:
        await receive(request, stream, shown)
    held.reader.read(take.ident)
    held.hub.publish({"take": take.ident, "state": "waiting"})
    return answer_take(take)


@router.get("/takes/{ident}/about")
def tell_take(ident: str, held: HeldState) -> TakeAnswer:
    """Tell how far a recording is."""
    return answer_take(held.library.take(ident))


@router.post("/takes/{ident}/name")
def name_take(ident: str, asked: NameAsked, held: HeldState) -> TakeAnswer:
    """Call a recording otherwise in the library."""
    return answer_take(held.desk.rename(ident, _to_name(asked.name)))


@router.post("/takes/{ident}/stop")
def stop_take(ident: str, held: HeldState) -> TakeAnswer:
    """Stop reading a recording."""
    take = held.library.take(ident)
    if take.state in ("waiting", "reading"):
        held.reader.stop(ident)
    return answer_take(take)


@router.post("/takes/{ident}/read")
def read_take(ident: str, held: HeldState) -> TakeAnswer:
    """Read a recording again that failed or was stopped."""
    take = held.library.take(ident)
    if take.state in ("failed", "stopped"):
        take = held.library.note(ident, state="waiting", message="")
        held.reader.read(ident)
    return answer_take(take)


@router.delete("/takes/{ident}", status_code=204)
def throw_away(ident: str, held: HeldState) -> None:
    """Throw a recording away; it can be taken back."""
    held.reader.stop(ident)
    held.library.throw_away(ident)
    held.hub.publish({"take": ident, "state": "thrown away"})


@router.post("/takes/{ident}/bring-back")
def bring_back(ident: str, held: HeldState) -> TakeAnswer:
    """Take back a recording that was thrown away."""
    take = held.library.bring_back(ident)
    if take.state in ("waiting", "reading"):
        held.reader.read(ident)
    held.hub.publish({"take": ident, "state": take.state})
    return answer_take(take)


@router.get("/news", response_class=StreamingResponse, include_in_schema=False)
def hear_news(held: HeldState) -> StreamingResponse:
    """Tell every change as it happens, as server-sent events."""
    return StreamingResponse(
        held.hub.listen(),
        media_type="text/event-stream",
        headers={"Cache-Control": "no-store", "X-Accel-Buffering": "no"},
    )


async def receive(request: Request, stream: BinaryIO, shown: str) -> None:
    """Write the body of a request to a file, piece by piece, and to the disk."""
    n_bytes = 0
    async for piece in take_pieces(request, most_bytes=MOST_BYTES, too_large=_too_large()):
        n_bytes += len(piece)
        stream.write(piece)  # small pieces into the page cache: no wait to speak of
    if not n_bytes:
        raise HTTPException(400, f"{shown} is empty: nothing was recorded in it.")
    stream.flush()
    await run_in_threadpool(os.fsync, stream.fileno())  # half a gigabyte takes a while, and other tabs go on


def _to_name(text: str) -> str:
    """Return what a recording is called: one line, whatever was sent."""
    return "".join(letter for letter in text if letter.isprintable()).strip() or "recording"


def _too_large() -> str:
    return f"That file is larger than {MOST_BYTES // 2**20} MB: cut it, or save it as FLAC, M4A or MP3."
