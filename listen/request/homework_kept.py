"""What is kept of some homework: what it is, who sent something, what was taken out again; one JSON file for each."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from listen.document import Cursor, read_json
from listen.jobs import name_order
from listen.request.take_kept import LATEST_S


@dataclass(frozen=True, slots=True)
class TakenOut:
    """A recording that was taken out of homework, and can be taken back.

    Parameters
    ----------
    ident : str
        Six hexadecimal digits: the name of its folder in ``thrown-away/``, where it was brought in by the page.
    student : str
    recording : str
        As it stood among the homework's recordings.
    """

    ident: str
    student: str
    recording: str


@dataclass(frozen=True, slots=True)
class Homework:
    """What was set and who sent something.

    Parameters
    ----------
    ident : str
        Twelve hexadecimal digits: the name of its folder.
    title : str
    added_s : float
        When it was set, in seconds since 1970.
    recordings : tuple of str
        Names of files in ``recordings/``, or paths of recordings that stay where they are.
    students : tuple of str
        Whose each is.
    chart : str
        Path of a chart that stays where it is; empty for the one in the folder.
    checked : str
        :meth:`HomeworkShelf.stamp` of what ``class.json`` was made from.
    taken_out : tuple of TakenOut
        The last first.
    """

    ident: str
    title: str
    added_s: float
    recordings: tuple[str, ...] = ()
    students: tuple[str, ...] = ()
    chart: str = ""
    checked: str = ""
    taken_out: tuple[TakenOut, ...] = ()


def read_homework(path: Path, ident: str) -> Homework:
    """Read homework as :func:`write_homework` wrote it, or a version that took nothing out.

    Raises
    ------
    DocumentError
        The file is not there, is damaged, or holds a value that is not possible.
    """
    kept = Cursor(read_json(path), str(path))
    recordings, students = kept.texts("recordings"), kept.texts("students")
    if len(recordings) != len(students):
        raise kept.refuse(f"it has {len(recordings)} recordings of {len(students)} students.")
    return Homework(
        ident,
        kept.text("title"),
        kept.number("added_s", 0.0, LATEST_S),
        recordings,
        students,
        kept.text("chart", ""),
        kept.text("checked", ""),
        tuple(
            TakenOut(one.text("ident"), one.text("student"), one.text("recording"))
            for one in kept.each("taken_out", "recording that was taken out")
        ),
    )


def write_homework(homework: Homework) -> str:
    """Return homework as the text of its file."""
    return json.dumps(asdict(homework), ensure_ascii=False)


def with_recording(homework: Homework, student: str, recording: str) -> Homework:
    """Return homework with one recording more, in the order of the students' names."""
    pairs = [*zip(homework.students, homework.recordings, strict=True), (student, recording)]
    pairs.sort(key=lambda pair: name_order(pair[0]))
    return replace(homework, students=tuple(one for one, _ in pairs), recordings=tuple(name for _, name in pairs))


def without_recording(homework: Homework, gone: TakenOut) -> Homework:
    """Return homework with one recording taken out."""
    pairs = [one for one in zip(homework.students, homework.recordings, strict=True) if one[0] != gone.student]
    return replace(
        homework,
        students=tuple(one for one, _ in pairs),
        recordings=tuple(name for _, name in pairs),
        taken_out=(gone, *homework.taken_out),
    )
