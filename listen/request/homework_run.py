"""Homework checked, and the sound of one student made ready: what the page's own process for it does."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from listen.document import CheckFailure, ClassCheck, class_to_document, find_kept_folder, render_document, write_file
from listen.errors import ListenError, RecordingError
from listen.reading import Check
from listen.request.bring_in import SOUND, prepare_sound
from listen.request.homework import HomeworkShelf
from listen.request.homework_kept import Homework
from listen.request.library import Library

SHOWN_EVERY_S = 1.5  # how often a class's results are written as they come; judged
MOST_READY = 60  # sounds made before somebody asks; a class of 500 would take 350 MB

Tell = Callable[[dict[str, Any]], None]


def check_homework(library: Library, ident: str, tell: Tell, *, n_jobs: int = 0) -> str:
    """Check every recording of some homework; what was heard before is not heard again.

    What the homework is is only read: recordings come meanwhile, and who takes them in writes it.

    Parameters
    ----------
    library : Library
    ident : str
    tell : callable
        Told how far it is: ``{"done": 3, "of": 12, "student": "Anna"}``.
    n_jobs : int
        Processes; 0 for one a core.

    Returns
    -------
    str
        What was checked, for :meth:`HomeworkShelf.keep`; empty where not everything was.

    Raises
    ------
    ListenError
        The chart cannot be read any more, or nothing can be written.
    """
    from listen.jobs import CheckCache, CheckJob, check_class

    shelf = HomeworkShelf(library)
    homework = shelf.homework(ident)
    stamp, assignment, recordings = shelf.stamp(homework), shelf.assignment(homework), shelf.recordings(homework)
    path = shelf.folder_of(ident) / "class.json"
    found: list[Check | CheckFailure] = []
    written_s = 0.0

    def write(checked: ClassCheck) -> None:
        write_file(path, render_document(class_to_document(checked)), overwrite=True)

    def note(one: Check | CheckFailure) -> None:
        nonlocal written_s
        found.append(one)
        if time.monotonic() - written_s > SHOWN_EVERY_S:
            written_s = time.monotonic()
            checks = tuple(each for each in found if isinstance(each, Check))
            failures = tuple(each for each in found if isinstance(each, CheckFailure))
            write(ClassCheck(homework.title, checks, failures, complete=False))
        if len(recordings) <= MOST_READY:
            with suppress(ListenError, OSError):  # a damaged one is told as such
                make_sound(library, ident, one.student)
        tell({"done": len(found), "of": len(recordings), "student": one.student})

    job = CheckJob(assignment, n_jobs=n_jobs, has_words=False)
    checked = check_class(recordings, job, CheckCache(find_kept_folder("check")), found=note)
    write(checked)
    return stamp if checked.complete else ""


def find_sound(shelf: HomeworkShelf, homework: Homework, student: str) -> Path:
    """Return where the sound of a student's recording is, or will be when it was made."""
    path = shelf.recordings(homework)[shelf.place_of(homework, student)].path
    about = path.stat() if path.is_file() else None
    stamp = "" if about is None else f"{about.st_size} {about.st_mtime_ns}"
    name = hashlib.sha256(f"{path} {stamp}".encode()).hexdigest()[:16]
    return shelf.folder_of(homework.ident) / "sounds" / name / SOUND


def make_sound(library: Library, ident: str, student: str) -> None:
    """Make the sound of a student's recording ready to be played: one channel, in a form that plays everywhere."""
    shelf = HomeworkShelf(library)
    homework = shelf.homework(ident)
    target = find_sound(shelf, homework, student)
    if not target.is_file():
        target.parent.mkdir(parents=True, exist_ok=True)
        path = shelf.recordings(homework)[shelf.place_of(homework, student)].path
        try:
            prepare_sound(path, target.parent)
        except ListenError as error:  # a page shows no more of a student's recording than its name
            raise RecordingError(str(error).replace(str(path), path.name)) from error
