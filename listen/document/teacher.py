"""The teacher's words on a recording, kept in a file beside it: never lost when it is read again."""

from __future__ import annotations

import errno
from pathlib import Path

from listen.document.check_codec import TEACHER
from listen.document.cursor import LONGEST_NAME, Cursor
from listen.document.format import format_of, read_document, write_document
from listen.errors import DocumentError
from listen.reading import TeacherWords

SUFFIX = ".teacher.json"
MOST_NAME_BYTES = LONGEST_NAME - len(SUFFIX)
"""Bytes of a recording's name beside which the teacher's words can lie."""


def find_words_file(recording: Path | str) -> Path:
    """Return where the teacher's words on a recording are kept.

    Examples
    --------
    >>> find_words_file("week 3/anna.m4a").name
    'anna.m4a.teacher.json'
    """
    path = Path(recording)
    return path.with_name(path.name + SUFFIX)


def has_words(recording: Path | str) -> bool:
    """Tell whether there are words of the teacher on a recording: none where a name is too long to have them beside it.

    Raises
    ------
    DocumentError
        The folder may not be looked into.
    """
    path = find_words_file(recording)
    try:
        return path.is_file()
    except OSError as error:
        if error.errno == errno.ENAMETOOLONG:
            return False
        raise DocumentError(f"{path} could not be read: {error.strerror or error}.") from error


def load_words(recording: Path | str) -> TeacherWords:
    """Read the teacher's words on a recording; none where there are none.

    Raises
    ------
    DocumentError
        The file is there and cannot be read, or is damaged.
    """
    if not has_words(recording):
        return TeacherWords()
    path = find_words_file(recording)
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
