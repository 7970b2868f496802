"""The teacher's words on a recording, kept in a file beside it: never lost when it is read again."""

from __future__ import annotations

from pathlib import Path

from listen.document.check_codec import TEACHER
from listen.document.cursor import Cursor
from listen.document.format import format_of, read_document, write_document
from listen.reading import TeacherWords

SUFFIX = ".teacher.json"


def find_words_file(recording: Path | str) -> Path:
    """Return where the teacher's words on a recording are kept.

    Examples
    --------
    >>> find_words_file("week 3/anna.m4a").name
    'anna.m4a.teacher.json'
    """
    path = Path(recording)
    return path.with_name(path.name + SUFFIX)


def load_words(recording: Path | str) -> TeacherWords:
    """Read the teacher's words on a recording; none where there are none.

    Raises
    ------
    DocumentError
        The file is there and cannot be read, or is damaged.
    """
    path = find_words_file(recording)
    if not path.is_file():
        return TeacherWords()
    words: TeacherWords = TEACHER.read(Cursor(read_document(path, kind="teacher"), str(path)), None)
    return words


def save_words(recording: Path | str, words: TeacherWords) -> Path:
    """Keep the teacher's words beside a recording.

    Raises
    ------
    DocumentError
        They cannot be written, or a newer version wrote what is there.
    """
    path = find_words_file(recording)
    return write_document(path, {"format": format_of("teacher"), **TEACHER.write(words, None)}, overwrite=True)
