"""Routes of sound: the recording as it was heard, the part on strings, a chord or a note on strings."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Response
from fastapi.responses import FileResponse

from listen.request import SOUND, render_chord_sound, render_frets_sound, render_strings
from listen.web.failures import FAILURES
from listen.web.state import HeldState

router = APIRouter(prefix="/api", responses=FAILURES)
FLAC = "audio/flac"
_KEPT = {"Cache-Control": "private, max-age=3600"}


@router.get("/takes/{ident}/sound", response_class=Response)
def send_recording(ident: str, held: HeldState) -> Response:
    """Return the recording as it was heard: one channel, in a form that plays everywhere."""
    held.library.take(ident)
    path = held.library.folder_of(ident) / SOUND
    if not path.is_file():
        raise HTTPException(404, "Its sound is not ready yet.")
    return FileResponse(path, media_type=FLAC, headers=_KEPT)


@router.get("/takes/{ident}/strings", response_class=Response)
def hear_strings(
    ident: str,
    held: HeldState,
    start_s: Annotated[float, Query(ge=0, le=1e6)],
    end_s: Annotated[float, Query(ge=0, le=1e6)],
) -> Response:
    """Return a stretch of the part, plucked on strings."""
    part = held.desk.open(ident).part
    if part is None:
        raise HTTPException(404, "It was not read yet.")
    return Response(render_strings(part, start_s, end_s), media_type=FLAC, headers={"Cache-Control": "no-store"})


@router.get("/strings/frets", response_class=Response)
def hear_frets(
    frets: Annotated[str, Query(max_length=60)],
    tuning: Annotated[str, Query(max_length=80)] = "standard",
    capo: Annotated[int, Query(ge=0, le=12)] = 0,
) -> Response:
    """Return a shape, strummed."""
    return Response(render_frets_sound(frets, tuning, capo), media_type=FLAC, headers=_KEPT)


@router.get("/strings/chord", response_class=Response)
def hear_chord(
    chord: Annotated[str, Query(max_length=60)],
    tuning: Annotated[str, Query(max_length=80)] = "standard",
    capo: Annotated[int, Query(ge=0, le=12)] = 0,
) -> Response:
    """Return a chord at its easiest place, strummed."""
    return Response(render_chord_sound(chord, tuning, capo), media_type=FLAC, headers=_KEPT)
