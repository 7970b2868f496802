"""The teacher's words on a student's homework: kept beside the recording, as ``listen check --correct`` keeps them."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from listen.document import save_words
from listen.errors import DocumentError
from listen.reading import Check, TeacherWord, TeacherWords
from listen.request.homework import HomeworkShelf
from listen.request.homework_kept import Homework
from listen.request.library import ChangedMeanwhileError

LONGEST_NOTE = 2000


def find_check(shelf: HomeworkShelf, homework: Homework, student: str) -> Check:
    """Return what was found of one student, with the teacher's words.

    Raises
    ------
    NotInLibraryError
        There is no such student.
    DocumentError
        The recording could not be checked, or was not yet.
    """
    shelf.place_of(homework, student)
    found = shelf.checked(homework)
    for one in found.checks:
        if one.student == student:
            return one
    raise DocumentError(
        next((one.error for one in found.failures if one.student == student), "It was not checked yet.")
    )


def words_version(words: TeacherWords) -> str:
    """Return a name for the verdicts that were said: another one whenever one was said or taken back."""
    return hashlib.sha256(repr(words.words).encode()).hexdigest()[:12]


def say_of_bar(
    shelf: HomeworkShelf, homework: Homework, student: str, word: TeacherWord, *, seen: str, is_taken_back: bool = False
) -> Check:
    """Keep the teacher's verdict on a finding, or on a bar; or take it back. `seen` is the version that was seen.

    Raises
    ------
    BadValueError
        A bar that is not there.
    ChangedMeanwhileError
    """
    with shelf.hold(homework.ident):
        check = find_check(shelf, homework, student)
        words = check.teacher
        if words_version(words) != seen:
            raise ChangedMeanwhileError("Something was said of this student meanwhile; what is kept now is shown.")
        _keep(shelf, homework, student, _changed(check, word, is_taken_back=is_taken_back))
        return find_check(shelf, homework, student)


def _changed(check: Check, word: TeacherWord, *, is_taken_back: bool) -> TeacherWords:
    from listen.assessment import add_words, take_back

    words = check.teacher
    if is_taken_back or word.kind == "teacher":
        words = take_back(words, word)
    if not is_taken_back:
        if word.kind == "teacher":  # what the teacher alone heard: whoever takes it for right means the bar
            word = replace(word, beat=None, kind="")
        words = add_words(replace(check, teacher=words), TeacherWords((word,)))
    return words


def write_note(shelf: HomeworkShelf, homework: Homework, student: str, note: str, *, seen: str) -> Check:
    """Keep a note to the student; an empty one takes it back. `seen` is the note that was seen before.

    The same note sent twice, as when a field is left and the page with it, is kept once.

    Raises
    ------
    ChangedMeanwhileError
    """
    with shelf.hold(homework.ident):
        check = find_check(shelf, homework, student)
        words = replace(check.teacher, note=note.strip()[:LONGEST_NOTE])
        if check.teacher.note not in (seen, words.note):
            raise ChangedMeanwhileError("The note was changed meanwhile: what is kept now is shown under yours.")
        _keep(shelf, homework, student, words)
    return replace(check, teacher=words)


def _keep(shelf: HomeworkShelf, homework: Homework, student: str, words: TeacherWords) -> None:
    save_words(shelf.recordings(homework)[shelf.place_of(homework, student)].path, words)
