"""Homework in the library: what was set, the recordings that came, and what was found in them; a folder for each.

Conventions: ``homework/IDENT/`` holds ``homework.json`` (what it is), ``set.chart``, ``recordings/`` as they came,
``class.json`` (what was found last, without the teacher's words) and ``sounds/`` (made when somebody listens). The
teacher's words lie beside each recording, as ``listen check --correct`` writes them. Recordings and a chart that were
named on the command line stay where they are.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path, PurePath
from threading import RLock

from listen.audio import RECORDING_ENDINGS
from listen.document import (
    MOST_NAME_BYTES,
    ClassCheck,
    find_words_file,
    has_words,
    load_words,
    parse_chart,
    read_chart_text,
    read_class,
    write_file,
)
from listen.errors import BadValueError, ListenError, bad_value
from listen.jobs import StudentRecording, find_recordings, name_students
from listen.reading import Assignment
from listen.request.homework_kept import Homework, TakenOut, read_homework, with_recording, write_homework
from listen.request.kept_folders import THROWN_AWAY, KeptFolders, NotInLibraryError
from listen.request.library import ChangedMeanwhileError, Library

HOMEWORK = "homework"
MOST_RECORDINGS = 1000


class HomeworkShelf:
    """All homework in a library."""

    def __init__(self, library: Library) -> None:
        self._kept = KeptFolders(library.folder / HOMEWORK, "homework")
        self.lock = RLock()  # held by whoever reads what is kept and writes it back

    def list_homework(self) -> tuple[Homework, ...]:
        """Return all, the newest first."""
        if not self._kept.folder.is_dir():
            return ()
        found = []
        for ident in self._kept.list_idents():
            with contextlib.suppress(ListenError):
                found.append(self.homework(ident))
        return tuple(sorted(found, key=lambda one: -one.added_s))

    def homework(self, ident: str) -> Homework:
        """Return one.

        Raises
        ------
        NotInLibraryError
        """
        try:
            return read_homework((self.folder_of(ident) / "homework.json").read_text("utf-8"))
        except (OSError, ValueError, TypeError, KeyError) as error:
            raise self._kept.not_there(ident) from error

    def folder_of(self, ident: str) -> Path:
        """Return its folder; the name is checked, since it comes from a request."""
        return self._kept.place(ident)

    def add(self, chart: str, *, file: Path | None = None, recordings: Sequence[StudentRecording] = ()) -> Homework:
        """Set homework: a chart as text, or a chart file that stays where it is.

        Raises
        ------
        ListenError
            The chart cannot be read, or a chord in it cannot be held.
        """
        assignment = _read(chart, "the chart")
        made = Homework(
            self._kept.add("recordings"), assignment.title, time.time(),
            tuple(str(one.path.resolve()) for one in recordings), tuple(one.student for one in recordings),
            "" if file is None else str(file.resolve()),
        )  # fmt: skip
        if file is None:
            write_file(self._chart_of(made), chart, overwrite=True)
        return self._save(made)

    def find_named(self, file: Path, recordings: Sequence[StudentRecording]) -> Homework:
        """Return the homework of a chart file and recordings that stay where they are; made where there is none."""
        known = next((one for one in self.list_homework() if one.chart == str(file.resolve())), None)
        text = read_chart_text(file)
        if known is None:
            return self.add(text, file=file, recordings=recordings)
        paths, students = tuple(str(one.path.resolve()) for one in recordings), [one.student for one in recordings]
        out = tuple(one for one in known.taken_out if one.recording not in paths)
        title = _read(text, str(file)).title
        return self._save(replace(known, title=title, recordings=paths, students=tuple(students), taken_out=out))

    def chart_text(self, homework: Homework) -> str:
        """Return what was set, as it was typed."""
        return read_chart_text(self._chart_of(homework))

    def assignment(self, homework: Homework) -> Assignment:
        """Return what was set."""
        return _read(self.chart_text(homework), self._chart_of(homework).name)

    def set_chart(self, ident: str, text: str, *, seen: str) -> Homework:
        """Set something else; `seen` is the text that was seen before.

        Raises
        ------
        ChangedMeanwhileError
        ListenError
            It cannot be read or held.
        """
        with self.lock:
            homework = self.homework(ident)
            if seen != self.chart_text(homework):
                raise ChangedMeanwhileError("The chart was changed meanwhile; what is set now is shown.")
            assignment = _read(text, "the chart")
            write_file(self._chart_of(homework), text, overwrite=True)
            return self._save(replace(homework, title=assignment.title))

    def place_recording(self, ident: str, name: str) -> Path:
        """Return a new file for a recording that comes, empty; it counts after :meth:`take_recording`.

        Whoever asked removes it where nothing came of it.

        Raises
        ------
        BadValueError
            Its name ends as no recording does, is too long, is there already, or would be another student's.
        """
        homework = self.homework(ident)
        shown = "".join(sign for sign in PurePath(name.replace("\\", "/")).name if sign.isprintable()).strip()
        path = self.folder_of(ident) / "recordings" / shown
        if path.suffix.lower() not in RECORDING_ENDINGS:
            raise BadValueError(f"{shown or 'This'} is no recording that can be read: {', '.join(RECORDING_ENDINGS)}.")
        if len(homework.recordings) >= MOST_RECORDINGS:
            raise BadValueError(f"{MOST_RECORDINGS} recordings are in this homework already; set another one.")
        if (n_bytes := len(os.fsencode(shown))) > MOST_NAME_BYTES:  # one letter takes up to four
            allowed = f"up to {MOST_NAME_BYTES} bytes in UTF-8, and this one has {n_bytes}"
            raise bad_value("name", shown, allowed=allowed, remedy="Give this file a shorter name.")
        _refuse_second(homework, path.stem.strip())
        try:
            path.touch(exist_ok=False)
        except FileExistsError as error:
            raise BadValueError(
                f"{shown} is being sent already, or lies there without counting: give this file another name."
            ) from error
        return path

    def take_recording(self, ident: str, path: Path) -> Homework:
        """Count a recording in, now that it lies where :meth:`place_recording` said.

        Raises
        ------
        BadValueError
            The student sent another one while it came.
        """
        with self.lock:
            homework, whose = self.homework(ident), path.stem.strip()
            _refuse_second(homework, whose)
            return self._save(with_recording(homework, whose, path.name))

    def take_out(self, ident: str, student: str) -> Homework:
        """Take a student's recording out, to be taken back.

        One that came by the page is put aside with the teacher's words on it; one that stays where it is stays.
        """
        with self.lock:
            homework = self.homework(ident)
            at = self.place_of(homework, student)
            gone = TakenOut(secrets.token_hex(3), student, homework.recordings[at])
            self._move(self.folder_of(ident) / "recordings", self._aside(ident, gone), gone)
            files, students = list(homework.recordings), list(homework.students)
            del files[at], students[at]
            taken_out = (gone, *homework.taken_out)
            return self._save(replace(homework, recordings=tuple(files), students=tuple(students), taken_out=taken_out))

    def put_back(self, ident: str, taken_out: str) -> Homework:
        """Take a recording back that was taken out.

        Raises
        ------
        NotInLibraryError
            None of that name was.
        BadValueError
            The student sent another one meanwhile.
        """
        with self.lock:
            homework = self.homework(ident)
            back = next((one for one in homework.taken_out if one.ident == taken_out), None)
            if back is None:
                raise NotInLibraryError("No such recording was taken out of this homework.")
            if back.student.casefold() in {one.casefold() for one in homework.students}:
                raise BadValueError(f"{back.student} sent another one: take that one out first.")
            self._move(self._aside(ident, back), self.folder_of(ident) / "recordings", back)
            others = tuple(one for one in homework.taken_out if one != back)
            return self._save(with_recording(replace(homework, taken_out=others), back.student, back.recording))

    def throw_away(self, ident: str) -> None:
        """Put homework aside, with what came for it."""
        self._kept.throw_away(ident)

    def bring_back(self, ident: str) -> Homework:
        """Take back what was thrown away."""
        self._kept.bring_back(ident)
        return self.homework(ident)

    def recordings(self, homework: Homework) -> list[StudentRecording]:
        """Return where each student's recording lies."""
        folder = self.folder_of(homework.ident) / "recordings"
        return [
            StudentRecording(folder / name, student)
            for name, student in zip(homework.recordings, homework.students, strict=True)
        ]

    def stamp(self, homework: Homework) -> str:
        """Return a name for what is to be checked: it is another one when the chart or a recording is."""
        digest = hashlib.sha256(self.chart_text(homework).encode())
        for one in self.recordings(homework):
            try:
                about = one.path.stat()
            except OSError:
                continue
            digest.update(f"\n{one.student}\0{one.path}\0{about.st_size}\0{about.st_mtime_ns}".encode())
        return digest.hexdigest()[:16]

    def keep(self, ident: str, stamp: str) -> Homework:
        """Note what was checked last."""
        with self.lock:
            return self._save(replace(self.homework(ident), checked=stamp))

    def checked(self, homework: Homework) -> ClassCheck:
        """Return what was found, with the teacher's words; nobody where nothing was checked yet."""
        from listen.assessment import apply_words

        path = self.folder_of(homework.ident) / "class.json"
        found = read_class(path) if path.is_file() else ClassCheck(homework.title, ())
        paths = {one.student: one.path for one in self.recordings(homework)}
        checks = tuple(apply_words(one, load_words(paths[one.student])) for one in found.checks if one.student in paths)
        failures = tuple(one for one in found.failures if one.student in paths)
        return ClassCheck(homework.title, checks, failures, found.complete)

    def place_of(self, homework: Homework, student: str) -> int:
        """Return a student's place in the row."""
        if student not in homework.students:
            raise NotInLibraryError("There is no such student in this homework.")
        return homework.students.index(student)

    def _aside(self, ident: str, gone: TakenOut) -> Path:
        return self.folder_of(ident) / THROWN_AWAY / gone.ident

    def _move(self, folder: Path, to: Path, moved: TakenOut) -> None:
        """Move a recording that came by the page, and the words on it."""
        path = folder / moved.recording  # a path that stays where it is has folders of its own
        for one in (path, find_words_file(path)) if has_words(path) else (path,):
            if one.parent == folder and one.is_file():
                to.mkdir(parents=True, exist_ok=True)
                one.rename(to / one.name)

    def _chart_of(self, homework: Homework) -> Path:
        return Path(homework.chart) if homework.chart else self.folder_of(homework.ident) / "set.chart"

    def _save(self, homework: Homework) -> Homework:
        write_file(self.folder_of(homework.ident) / "homework.json", write_homework(homework), overwrite=True)
        return homework


def _refuse_second(homework: Homework, whose: str) -> None:
    if whose.casefold() in {one.casefold() for one in homework.students}:
        raise BadValueError(f"{whose} sent one already: take that one out first, or give this file another name.")


def _read(text: str, name: str) -> Assignment:
    from listen.assessment import check_playable

    assignment = parse_chart(text, name=name)
    check_playable(assignment)
    return assignment


def bring_homework(library: Library, chart: Path, files: Sequence[Path]) -> Homework:
    """Return the homework of a chart file and recordings, or folders of them; all stay where they are.

    Raises
    ------
    ListenError
        The chart cannot be read, or there are no recordings.
    """
    recordings = name_students(find_recordings(files)) if files else []
    return HomeworkShelf(library).find_named(chart, recordings)
