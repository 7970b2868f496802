"""Routes of one student's homework: what was found, its sound, the teacher's word on it, the page to send back."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, HTTPException, Query, Response
from fastapi.responses import FileResponse
from pydantic import BaseModel, Field

from listen.export import render_check_page, render_student_fragment
from listen.instrument import MOST_STRINGS
from listen.reading import Check, FindingKind, TeacherWord, Verdict
from listen.request import (
    LONGEST_NOTE,
    Homework,
    find_check,
    find_sound,
    is_left_handed,
    say_of_bar,
    words_version,
    write_note,
)
from listen.web.failures import FAILURES
from listen.web.homework_bodies import LONGEST_STUDENT, StudentNamed
from listen.web.kept_file import answer_file
from listen.web.state import Held, HeldState
from listen.web.takes import LONGEST_NAME

router = APIRouter(prefix="/api/homework/{ident}/student", responses=FAILURES)
StudentAsked = Annotated[str, Query(min_length=1, max_length=LONGEST_STUDENT)]
MOST_BAR = 100_000


class StudentAnswer(BaseModel):
    """What was found of a student, and all students of the homework that something was found of."""

    student: str
    title: str
    students: list[str]
    tuning: str
    capo: int
    note: str
    version: str
    sound_stamp: str
    html: str


class VerdictAsked(StudentNamed):
    """The teacher's word on a bar, or on one finding, named by its kind; null takes it back."""

    bar: int = Field(ge=0, le=MOST_BAR)
    beat: float | None = Field(None, ge=1, le=100)
    kind: FindingKind | Literal[""] = ""
    string: int | None = Field(None, ge=1, le=MOST_STRINGS)
    verdict: Verdict | None
    version: str = Field(max_length=LONGEST_NAME)


class NoteAsked(StudentNamed):
    """A note to the student, and the one that was seen before it."""

    note: str = Field(max_length=LONGEST_NOTE)
    seen: str = Field(max_length=LONGEST_NOTE)


@router.get("")
def show_student(ident: str, student: StudentAsked, held: HeldState) -> StudentAnswer:
    """Show what was found of a student."""
    homework = held.homework.homework(ident)
    return _answer(held, homework, find_check(held.homework, homework, student))


@router.get("/sound", response_class=Response)
def hear_student(ident: str, student: StudentAsked, held: HeldState) -> Response:
    """Return a student's recording: one channel, in a form that plays everywhere."""
    homework = held.homework.homework(ident)
    path = find_sound(held.homework, homework, student)
    if not path.is_file():
        held.checker.make_sound(ident, student)
    if not path.is_file():
        raise HTTPException(404, "Its sound is not there.")
    return FileResponse(path, media_type="audio/flac", headers={"Cache-Control": "private, no-cache"})


@router.post("/verdict")
def say_verdict(ident: str, asked: VerdictAsked, held: HeldState) -> StudentAnswer:
    """Keep the teacher's word beside the recording, or take it back."""
    homework = held.homework.homework(ident)
    word = TeacherWord(asked.bar, asked.beat, asked.verdict or "right", asked.kind, asked.string)
    check = say_of_bar(
        held.homework, homework, asked.student, word, seen=asked.version, is_taken_back=asked.verdict is None
    )
    return _said(held, homework, check)


@router.post("/note")
def keep_note(ident: str, asked: NoteAsked, held: HeldState) -> StudentAnswer:
    """Keep a note to the student beside the recording."""
    homework = held.homework.homework(ident)
    return _said(held, homework, write_note(held.homework, homework, asked.student, asked.note, seen=asked.seen))


@router.get("/page", response_class=Response)
def take_page_away(ident: str, student: StudentAsked, held: HeldState) -> Response:
    """Take the student's own page away, to send it back."""
    homework = held.homework.homework(ident)
    check = find_check(held.homework, homework, student)
    path = find_sound(held.homework, homework, student)
    if not path.is_file():
        held.checker.make_sound(ident, student)
    assignment = held.homework.assignment(homework)
    page = render_check_page(check, assignment, recording=path, left_handed=is_left_handed(None))
    return answer_file(page, f"{student}.html")


def _said(held: Held, homework: Homework, check: Check) -> StudentAnswer:
    """Answer with what was kept, and tell the other tabs."""
    answer = _answer(held, homework, check)
    held.hub.publish(
        {"homework": homework.ident, "said": check.student, "version": answer.version, "note": answer.note}
    )
    return answer


def _answer(held: Held, homework: Homework, check: Check) -> StudentAnswer:
    sound = find_sound(held.homework, homework, check.student)
    assignment = held.homework.assignment(homework)
    checked = {one.student for one in held.homework.checked(homework).checks}
    return StudentAnswer(
        student=check.student,
        title=homework.title,
        students=[one for one in homework.students if one in checked],
        tuning=assignment.tuning.text,
        capo=assignment.capo_fret,
        note=check.teacher.note,
        version=words_version(check.teacher),
        sound_stamp=sound.parent.name,  # another one where another recording took its place
        html=render_student_fragment(check, assignment, left_handed=is_left_handed(None)),
    )
