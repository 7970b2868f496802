"""Whose a recording is that comes by the page, and whose place it would take."""

from __future__ import annotations

from pathlib import Path, PurePath

from listen.audio import RECORDING_ENDINGS
from listen.errors import BadValueError
from listen.jobs import name_students
from listen.request.homework_kept import Homework


def shown_name(name: str) -> str:
    """Return what a file that comes is called: without folders, and signs that nobody sees.

    Raises
    ------
    BadValueError
        It ends as no recording does.
    """
    shown = "".join(sign for sign in PurePath(name.replace("\\", "/")).name if sign.isprintable()).strip()
    if Path(shown).suffix.lower() not in RECORDING_ENDINGS:
        taken = ", ".join(RECORDING_ENDINGS)
        raise BadValueError(f"{shown or 'This'} is no recording that can be read: it takes files that end in {taken}.")
    return shown


def find_owner(shown: str, names: str) -> str:
    """Return whose a file is, by its name and a pattern of names (:func:`~listen.jobs.name_students`).

    Raises
    ------
    BadValueError
        The pattern does not fit.
    """
    return name_students([Path(shown)], pattern=names.strip())[0].student.strip()


def find_rival(homework: Homework, owner: str, shown: str) -> str:
    """Return the student who has sent something already that this would be taken for; empty where there is none.

    It is the same student, or another one's file of the same name, since there is one folder for all.
    """
    for student, recording in zip(homework.students, homework.recordings, strict=True):
        if student.casefold() == owner.casefold() or recording == shown:
            return student
    return ""


def refuse_second(homework: Homework, owner: str, shown: str) -> None:
    """Refuse what would take another recording's place.

    Raises
    ------
    BadValueError
    """
    rival = find_rival(homework, owner, shown)
    if rival:
        same = rival.casefold() == owner.casefold()
        told = f"{owner} sent one already" if same else f"{shown} is here already, as {rival}'s"
        raise BadValueError(f"{told}: take that one out first, or give this file another name.")
