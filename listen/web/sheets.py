"""Routes of a part: its sheet, a bar of it unfolded, what is changed in it, guesses, and what is taken away."""

from __future__ import annotations

from pathlib import PurePath
from typing import Annotated, Literal

from fastapi import APIRouter, HTTPException, Path, Response
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, Field

from listen.audio import RECORDING_ENDINGS
from listen.export import (
    BarLook,
    find_given_title,
    render_bar_fragment,
    render_part_fragment,
    render_sheet_style,
    tell_holding,
)
from listen.reading import Part
from listen.request import (
    CURVE,
    CURVE_STEP_S,
    SOUND,
    TAKEN_AWAY,
    AskedChange,
    DamagedTakeError,
    History,
    Opened,
    is_left_handed,
    judge_guess,
    render_evidence,
    render_taken_away,
)
from listen.web.failures import FAILURES
from listen.web.kept_file import name_file
from listen.web.state import Held, HeldState
from listen.web.takes import TakeAnswer, answer_take

router = APIRouter(prefix="/api", responses=FAILURES)

LabelsAsked = Literal["degree", "note", "finger"]
NamesAsked = Literal["played", "sounding", "nashville", "roman"]
MOST_NUMBER = 100_000


class SheetAnswer(BaseModel):
    """A part as a sheet, and what can be done with it."""

    take: TakeAnswer
    damage: str  # why it cannot be shown, where it can be restored
    version: int
    html: str
    start_s: float
    end_s: float
    tempo_bpm: float | None
    undone: str
    redone: str
    capo: int
    tuning: str
    complete: bool
    has_chords: bool
    told: dict[str, str]  # what was said of the whole part: tempo, metre, key
    holds: dict[str, str]  # what holds for the whole part, told or heard: by the same names


class BarHtml(BaseModel):
    """A bar unfolded."""

    html: str


class ChangeAsked(BaseModel):
    """What is to be changed, in the version that was seen."""

    version: int = Field(ge=0, le=1_000_000_000)
    what: str = Field(max_length=20)
    value: str = Field("", max_length=200)
    chord: int | None = Field(None, ge=0, le=MOST_NUMBER)
    bar: int | None = Field(None, ge=-1000, le=MOST_NUMBER)
    everywhere: bool = False


class VersionAsked(BaseModel):
    """The version that was seen."""

    version: int = Field(ge=0, le=1_000_000_000)


class GuessAsked(BaseModel):
    """A chord that somebody hears."""

    chord: int = Field(ge=0, le=MOST_NUMBER)
    guess: str = Field(max_length=60)


class GuessAnswer(BaseModel):
    """What is right about a guess."""

    is_right: bool
    words: str


@router.get("/sheet.css", include_in_schema=False)
def style_sheet() -> Response:
    """Return the style of printed sheets, which the page shares."""
    return Response(render_sheet_style(), media_type="text/css", headers={"Cache-Control": "no-cache"})


@router.get("/takes/{ident}/sheet")
def show_sheet(ident: str, held: HeldState, names: NamesAsked = "played") -> SheetAnswer:
    """Show a part, as far as it was read."""
    try:
        return answer_sheet(held.desk.open(ident), names)
    except DamagedTakeError as error:
        return answer_sheet(Opened(held.library.take(ident), None, History()), damage=str(error))


def answer_sheet(opened: Opened, names: NamesAsked = "played", *, damage: str = "") -> SheetAnswer:
    """Return what is told of an opened take."""
    part, history = opened.part, opened.history
    html = ""
    if part is not None:
        is_growing = opened.take.state in ("waiting", "reading")
        html = render_part_fragment(part, names=names, left_handed=is_left_handed(None), is_growing=is_growing)
    return SheetAnswer(
        take=answer_take(opened.take),
        damage=damage,
        version=history.version,
        html=html,
        start_s=0.0 if part is None else part.recording.span.start_s,
        end_s=0.0 if part is None else part.recording.span.end_s,
        tempo_bpm=None if part is None or part.bars.metre is None else part.bars.metre.tempo_bpm,
        undone=history.undone,
        redone=history.redone,
        capo=0 if part is None else part.fretboard.capo_fret,
        tuning="standard" if part is None else part.fretboard.tuning.text,
        complete=part is not None and part.recording.complete,
        has_chords=part is not None and any(span.name is not None for span in part.spans),
        holds={} if part is None else tell_holding(part),
        told={one.what: one.value for one in history.now.corrections if one.event_number is None and one.bar is None},
    )


@router.get("/takes/{ident}/bars/{number}")
def unfold_bar(
    ident: str,
    number: Annotated[int, Path(ge=-1000, le=MOST_NUMBER)],
    held: HeldState,
    labels: LabelsAsked = "degree",
) -> BarHtml:
    """Show one bar: its sound, the neck, and what else it may be."""
    part = _part_of(held, ident)
    curve = held.library.folder_of(ident) / CURVE
    html = render_bar_fragment(
        part,
        number,
        curve=curve.read_bytes() if curve.is_file() else b"",
        step_s=CURVE_STEP_S,
        look=BarLook(labels, is_left_handed(None)),
    )
    if html is None:
        raise HTTPException(404, f"There is no bar {number} in this part.")
    return BarHtml(html=html)


@router.get("/takes/{ident}/evidence/{event}")
def show_evidence(ident: str, event: Annotated[int, Path(ge=1, le=MOST_NUMBER)], held: HeldState) -> BarHtml:
    """Show what was heard at one strum: its spectrum with each note's harmonics."""
    part = _part_of(held, ident)
    sound = held.library.folder_of(ident) / SOUND
    return BarHtml(html=render_evidence(part, event, sound))


@router.post("/takes/{ident}/changes")
def change_part(ident: str, asked: ChangeAsked, held: HeldState) -> SheetAnswer:
    """Settle something; the rest is decoded around it."""
    change = AskedChange(asked.what, asked.value, asked.chord, asked.everywhere, asked.bar)
    return _changed(held, held.desk.change(ident, change, version=asked.version))


@router.post("/takes/{ident}/undo")
def undo_change(ident: str, asked: VersionAsked, held: HeldState) -> SheetAnswer:
    """Take the last change back."""
    return _changed(held, held.desk.undo(ident, version=asked.version))


@router.post("/takes/{ident}/redo")
def redo_change(ident: str, asked: VersionAsked, held: HeldState) -> SheetAnswer:
    """Make the change again that was taken back last."""
    return _changed(held, held.desk.redo(ident, version=asked.version))


@router.post("/takes/{ident}/restore")
def restore_damaged(ident: str, held: HeldState) -> SheetAnswer:
    """Let a recording whose part or steps are damaged go on from what is left."""
    opened = held.desk.restore(ident)
    if opened.take.state == "waiting":
        held.reader.read(ident)
    held.hub.publish({"take": ident, "state": opened.take.state})
    return answer_sheet(opened)


@router.post("/takes/{ident}/guess")
def guess_chord(ident: str, asked: GuessAsked, held: HeldState) -> GuessAnswer:
    """Say what is right about a guess."""
    is_right, words = judge_guess(_part_of(held, ident), asked.chord, asked.guess)
    return GuessAnswer(is_right=is_right, words=words)


@router.get("/takes/{ident}/files/{kind}", response_class=Response)
def take_away(ident: str, kind: str, held: HeldState, names: NamesAsked = "played") -> Response:
    """Take the part away as a file."""
    media = TAKEN_AWAY.get(kind)
    if media is None:
        raise HTTPException(404, f"There is no such file; there are {', '.join(TAKEN_AWAY)}.")
    opened = held.desk.open(ident)
    if opened.part is None:
        raise HTTPException(400, "It was not read yet.")
    sound = held.library.folder_of(ident) / SOUND
    content = render_taken_away(opened.part, kind, sound, names=names, left_handed=is_left_handed(None))
    headers = name_file(f"{_name_of(opened.part, opened.take.name) or 'part'}.{kind}")
    if isinstance(content, str | bytes):
        return Response(content, media_type=media, headers=headers)
    return StreamingResponse(content, media_type=media, headers=headers)


def _name_of(part: Part, take: str) -> str:
    """Return what a part is called: the title that was given, or the name of its recording."""
    ending = PurePath(take).suffix
    if ending.lower() in RECORDING_ENDINGS:  # "Op. 3" has none
        take = take.removesuffix(ending)
    return find_given_title(part) or take


def _part_of(held: Held, ident: str) -> Part:
    part = held.desk.open(ident).part
    if part is None:
        raise HTTPException(404, "It was not read yet.")
    return part


def _changed(held: Held, opened: Opened) -> SheetAnswer:
    held.hub.publish({"take": opened.take.ident, "version": opened.history.version})
    return answer_sheet(opened)
