"""Routes of homework: set a chart, bring recordings in, see the class, take it away."""

from __future__ import annotations

from pathlib import PurePath
from typing import Annotated, Any, Literal
from urllib.parse import quote

from fastapi import APIRouter, Query, Request, Response

from listen.document import render_document
from listen.errors import BadValueError, DocumentError
from listen.export import (
    failure_rows,
    render_check_csv,
    render_class_fragment,
    render_class_page,
    render_class_script,
    render_handout,
)
from listen.request import (
    CHART_TEMPLATE,
    Homework,
    find_owner,
    find_rival,
    is_left_handed,
    shown_name,
)
from listen.web.failures import FAILURES
from listen.web.homework_bodies import (
    ChartAsked,
    ClassAnswer,
    FilesNamed,
    HomeworkAnswer,
    HomeworkRow,
    OwnerAnswer,
    StudentNamed,
    TakenOutAnswer,
    TakenOutNamed,
    Template,
)
from listen.web.kept_file import answer_file
from listen.web.state import Held, HeldState
from listen.web.takes import LONGEST_NAME, answer_damaged, receive

router = APIRouter(prefix="/api", responses=FAILURES)


@router.get("/class.js", include_in_schema=False)
def class_script() -> Response:
    """Return the script that sorts the table of a class, as on the class's own page."""
    return Response(render_class_script(), media_type="text/javascript", headers={"Cache-Control": "no-cache"})


@router.get("/homework")
def list_homework(held: HeldState) -> HomeworkAnswer:
    """List all homework, the newest first."""
    found, damaged = held.homework.sort_homework()
    return HomeworkAnswer(homework=[HomeworkRow(**_row(held, one)) for one in found], damaged=answer_damaged(damaged))


@router.get("/homework/template")
def give_template() -> Template:
    """Return a commented chart to fill in."""
    return Template(chart=CHART_TEMPLATE)


@router.post("/homework", status_code=201)
def set_homework(asked: ChartAsked, held: HeldState) -> ClassAnswer:
    """Set homework: its chart, as text."""
    return _changed(held, held.homework.add(asked.chart))


@router.get("/homework/{ident}")
def show_class(ident: str, held: HeldState) -> ClassAnswer:
    """Show a class as far as it was checked."""
    return answer_class(held, held.homework.homework(ident))


@router.post("/homework/{ident}/check")
def start_checking(ident: str, held: HeldState) -> ClassAnswer:
    """Check what was not checked yet."""
    homework = held.homework.homework(ident)
    if homework.recordings:
        held.checker.start(ident)
    return answer_class(held, homework)


@router.post("/homework/{ident}/stop")
def stop_checking(ident: str, held: HeldState) -> ClassAnswer:
    """Stop; what was heard is kept."""
    homework = held.homework.homework(ident)
    held.checker.stop(ident)
    return answer_class(held, homework)


@router.post("/homework/{ident}/chart")
def change_chart(ident: str, asked: ChartAsked, held: HeldState) -> ClassAnswer:
    """Set something else."""
    homework = held.homework.set_chart(ident, asked.chart, seen=asked.seen)
    held.checker.stop(ident)
    return _changed(held, homework)


@router.post("/homework/{ident}/recordings", status_code=201)
async def add_recording(
    ident: str,
    request: Request,
    held: HeldState,
    name: Annotated[str, Query(min_length=1, max_length=LONGEST_NAME)],
    names: Annotated[str, Query(max_length=LONGEST_NAME)] = "",
) -> HomeworkRow:
    """Bring a student's recording in: its bytes are the body, its name says whose it is, by the pattern `names`."""
    with held.homework.receive(ident, name, names) as (shown, stream):
        await receive(request, stream, shown)
    homework = held.homework.homework(ident)
    held.hub.publish({"homework": ident, "changed": True})
    return HomeworkRow(**_row(held, homework))


@router.post("/homework/{ident}/whose")
def tell_whose(ident: str, asked: FilesNamed, held: HeldState) -> list[OwnerAnswer]:
    """Say whose files are before they come: by their names, and the pattern of names."""
    homework = held.homework.homework(ident)
    return [_tell_owner(homework, name, asked.names) for name in asked.files]


def _tell_owner(homework: Homework, name: str, names: str) -> OwnerAnswer:
    try:
        shown = shown_name(name)
        owner = find_owner(shown, names)
    except BadValueError as error:
        return OwnerAnswer(file=name, student="", rival="", error=str(error))
    return OwnerAnswer(file=shown, student=owner, rival=find_rival(homework, owner, shown), error="")


@router.post("/homework/{ident}/take-out")
def take_out(ident: str, asked: StudentNamed, held: HeldState) -> ClassAnswer:
    """Take a student's recording out of the homework."""
    homework = held.homework.take_out(ident, asked.student)
    held.checker.stop(ident)
    return _changed(held, homework)


@router.post("/homework/{ident}/put-back")
def put_back(ident: str, asked: TakenOutNamed, held: HeldState) -> ClassAnswer:
    """Take a recording back that was taken out."""
    return _changed(held, held.homework.put_back(ident, asked.taken_out))


@router.delete("/homework/{ident}", status_code=204)
def throw_homework_away(ident: str, held: HeldState) -> None:
    """Throw homework away; it can be taken back."""
    held.homework.homework(ident)
    held.checker.stop(ident)
    held.homework.throw_away(ident)
    held.hub.publish({"homework": ident, "changed": True})


@router.post("/homework/{ident}/bring-back")
def bring_homework_back(ident: str, held: HeldState) -> ClassAnswer:
    """Take back homework that was thrown away."""
    return _changed(held, held.homework.bring_back(ident))


@router.get("/homework/{ident}/files/{kind}", response_class=Response)
def take_class_away(ident: str, kind: Literal["html", "csv", "json", "sheet", "chart"], held: HeldState) -> Response:
    """Take the class away as a page, a table or a document; or the sheet to hand out, or the chart."""
    from listen.document import class_to_document

    homework = held.homework.homework(ident)
    if kind in ("sheet", "chart"):
        text = held.homework.chart_text(homework)
        if kind == "sheet":
            text = render_handout(held.homework.assignment(homework), left_handed=is_left_handed(None))
    else:
        checked = held.homework.checked(homework)
        if kind == "html":
            text = render_class_page(checked)
        elif kind == "csv":
            text = render_check_csv(checked)
        else:
            text = render_document(class_to_document(checked), indent=1) + "\n"
    suffix = {"sheet": "sheet.html"}.get(kind, kind)
    return answer_file(text, f"{homework.title or 'homework'}.{suffix}")


def answer_class(held: Held, homework: Homework) -> ClassAnswer:
    """Return what is told of a class."""
    checked = held.homework.checked(homework)
    known = {one.student for one in checked.checks} | {one.student for one in checked.failures}

    def link(student: str, bar: int | None) -> str:
        where = f"#/homework/{homework.ident}/{quote(student, safe='')}"
        return where if bar is None else f"{where}/{bar}"

    return ClassAnswer(
        **_row(held, homework),
        chart=held.homework.chart_text(homework),
        students=list(homework.students),
        waiting=[one for one in homework.students if one not in known],
        failures=failure_rows(checked),
        taken_out=[
            TakenOutAnswer(
                ident=one.ident,
                student=one.student,
                file=PurePath(one.recording).name,
                rival=find_rival(homework, one.student, one.recording),
            )
            for one in homework.taken_out
        ],
        done=int((held.checker.how_far(homework.ident) or {}).get("done", 0)),
        html=render_class_fragment(checked, link) if checked.checks else "",
    )


def _changed(held: Held, homework: Homework) -> ClassAnswer:
    """Answer with the class as it is now, and tell the other tabs."""
    held.hub.publish({"homework": homework.ident, "changed": True})
    return answer_class(held, homework)


def _row(held: Held, homework: Homework) -> dict[str, Any]:
    try:
        is_due = bool(homework.recordings) and held.homework.stamp(homework) != homework.checked
    except DocumentError:  # its chart lay outside and is gone: opening it says so, the list does not suffer
        is_due = False
    return {
        "ident": homework.ident,
        "title": homework.title or "Homework",
        "added_s": homework.added_s,
        "n_students": len(homework.students),
        "is_due": is_due,
        "is_running": held.checker.how_far(homework.ident) is not None,
    }
