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
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from threading import Lock
from typing import BinaryIO

from listen.document import (
    MOST_NAME_BYTES,
    ClassCheck,
    find_words_file,
    has_words,
    hold_lock,
    load_words,
    open_whole,
    parse_chart,
    read_chart_text,
    read_class,
    write_file,
)
from listen.errors import BadValueError, bad_value
from listen.jobs import StudentRecording
from listen.reading import Assignment
from listen.request.check_asked import TYPED_CHART, write_out_chords
from listen.request.homework_kept import (
    Homework,
    TakenOut,
    read_homework,
    with_recording,
    without_recording,
    write_homework,
)
from listen.request.homework_whose import find_owner, find_rival, refuse_second, shown_name
from listen.request.kept_folders import THROWN_AWAY, DamagedFolder, KeptFolders, NotInLibraryError, path_text
from listen.request.library import ChangedMeanwhileError, Library

HOMEWORK = "homework"
MOST_RECORDINGS = 1000


class HomeworkShelf:
    """All homework in a library."""

    def __init__(self, library: Library) -> None:
        self._kept = KeptFolders(library.folder / HOMEWORK, "homework")
        self._lock = Lock()  # where a system has no locks on files

    def list_homework(self) -> tuple[Homework, ...]:
        """Return all that can be read, the newest first."""
        return self.sort_homework()[0]

    def sort_homework(self) -> tuple[tuple[Homework, ...], tuple[DamagedFolder, ...]]:
        """Return all, the newest first, and the folders of those that cannot be read."""
        if not self._kept.folder.is_dir():
            return (), ()
        found, damaged = self._kept.sort_out(self.homework)
        return tuple(sorted(found, key=lambda one: -one.added_s)), tuple(damaged)

    def homework(self, ident: str) -> Homework:
        """Return one.

        Raises
        ------
        NotInLibraryError
        DocumentError
            Its folder is damaged.
        """
        return read_homework(self._kept.file_of(ident, "homework.json"), ident)

    def folder_of(self, ident: str) -> Path:
        """Return its folder; the name is checked, since it comes from a request."""
        return self._kept.place(ident)

    @contextlib.contextmanager
    def hold(self, ident: str) -> Iterator[Homework]:
        """Keep every other tab and program from some homework, between reading what is kept and writing it back.

        Raises
        ------
        NotInLibraryError
        """
        self.homework(ident)  # it may have been thrown away
        with self._lock, hold_lock(self.folder_of(ident) / "homework.json"):
            yield self.homework(ident)

    def add(self, chart: str, *, file: Path | None = None, recordings: Sequence[StudentRecording] = ()) -> Homework:
        """Set homework: a chart as text, or a few chords, or a chart file that stays where it is.

        Raises
        ------
        ListenError
            The chart cannot be read, or a chord in it cannot be held.
        """
        chart = write_out_chords(chart) if file is None else chart
        assignment = read_set_chart(chart, TYPED_CHART)
        with self._kept.add("recordings") as (ident, folder):
            made = Homework(
                ident, assignment.title, time.time(),
                tuple(path_text(one.path.resolve()) for one in recordings), tuple(one.student for one in recordings),
                "" if file is None else path_text(file.resolve()),
            )  # fmt: skip
            if file is None:
                write_file(folder / "set.chart", chart)
            write_file(folder / "homework.json", write_homework(made))
        return made

    def chart_text(self, homework: Homework) -> str:
        """Return what was set, as it was typed; a few chords as the chart that was written of them."""
        return read_chart_text(self._chart_of(homework))

    def assignment(self, homework: Homework) -> Assignment:
        """Return what was set."""
        return read_set_chart(self.chart_text(homework), self._chart_of(homework).name)

    def set_chart(self, ident: str, text: str, *, seen: str) -> Homework:
        """Set something else, a chart or a few chords; `seen` is the text that was seen before.

        Raises
        ------
        ChangedMeanwhileError
        ListenError
            It cannot be read or held.
        """
        with self.hold(ident) as homework:
            if seen != self.chart_text(homework):
                raise ChangedMeanwhileError("The chart was changed meanwhile; what is set now is shown.")
            text = write_out_chords(text)
            assignment = read_set_chart(text, TYPED_CHART)
            write_file(self._chart_of(homework), text, overwrite=True)
            return self.save(replace(homework, title=assignment.title))

    @contextlib.contextmanager
    def receive(self, ident: str, name: str, names: str = "") -> Iterator[tuple[str, BinaryIO]]:
        """Give what a recording that comes is called, and a file to write it to: it counts once the block ends.

        `names` is a pattern that says whose it is (:func:`~listen.jobs.name_students`).

        Raises
        ------
        BadValueError
            Its name ends as no recording does, is too long, does not fit the pattern, or would be another student's,
            also one's who sent something while it came.
        """
        homework = self.homework(ident)
        shown = shown_name(name)
        path = self.folder_of(ident) / "recordings" / shown
        if len(homework.recordings) >= MOST_RECORDINGS:
            raise BadValueError(f"{MOST_RECORDINGS} recordings are in this homework already; set another one.")
        if (n_bytes := len(os.fsencode(shown))) > MOST_NAME_BYTES:  # one letter takes up to four
            allowed = f"up to {MOST_NAME_BYTES} bytes in UTF-8, and this one has {n_bytes}"
            raise bad_value("name", shown, allowed=allowed, remedy="Give this file a shorter name.")
        whose = find_owner(shown, names)
        refuse_second(homework, whose, shown)
        with contextlib.ExitStack() as held:
            with open_whole(path, overwrite=True) as stream:
                yield shown, stream
                homework = held.enter_context(self.hold(ident))  # from here on until it is counted
                refuse_second(homework, whose, shown)
                if path.exists():  # and counts for nothing
                    homework = self.save(self._put_aside(homework, TakenOut(secrets.token_hex(3), whose, shown)))
            self.save(with_recording(homework, whose, shown))

    def take_out(self, ident: str, student: str) -> Homework:
        """Take a student's recording out, to be taken back.

        One that came by the page is put aside with the teacher's words on it; one that stays where it is stays.
        """
        with self.hold(ident) as homework:
            recording = homework.recordings[self.place_of(homework, student)]
            return self.save(self._put_aside(homework, TakenOut(secrets.token_hex(3), student, recording)))

    def put_back(self, ident: str, taken_out: str) -> Homework:
        """Take a recording back that was taken out.

        Raises
        ------
        NotInLibraryError
            None of that name was.
        BadValueError
            Another one is there meanwhile, of this student or with this name.
        """
        with self.hold(ident) as homework:
            back = next((one for one in homework.taken_out if one.ident == taken_out), None)
            if back is None:
                raise NotInLibraryError("No such recording was taken out of this homework.")
            if rival := find_rival(homework, back.student, back.recording):
                raise BadValueError(f"{rival} sent another one: take that one out first.")
            self._move(self._aside(ident, back), self.folder_of(ident) / "recordings", back)
            others = tuple(one for one in homework.taken_out if one != back)
            return self.save(with_recording(replace(homework, taken_out=others), back.student, back.recording))

    def throw_away(self, ident: str) -> None:
        """Put homework aside, with what came for it."""
        self._kept.throw_away(ident)

    def bring_back(self, ident: str) -> Homework:
        """Take back what was thrown away."""
        self._kept.bring_back(ident)
        return self.homework(ident)

    def mend(self) -> None:
        """Remove what programs that were killed left half, once it is old."""
        self._kept.mend("*/recordings", "*/sounds/*")

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
        with self.hold(ident) as homework:
            return self.save(replace(homework, checked=stamp))

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

    def _put_aside(self, homework: Homework, gone: TakenOut) -> Homework:
        folder = self.folder_of(homework.ident) / "recordings"
        self._move(folder, self._aside(homework.ident, gone), gone)
        return without_recording(homework, gone)

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

    def save(self, homework: Homework) -> Homework:
        """Write down what homework is; whoever read it before holds it."""
        write_file(self.folder_of(homework.ident) / "homework.json", write_homework(homework), overwrite=True)
        return homework


def read_set_chart(text: str, name: str) -> Assignment:
    """Read a chart as what is set.

    Raises
    ------
    ListenError
        It cannot be read, or a chord in it cannot be held.
    """
    from listen.assessment import check_playable

    assignment = parse_chart(text, name=name)
    check_playable(assignment)
    return assignment
