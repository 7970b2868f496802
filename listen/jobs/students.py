"""Which recordings there are, and whose: students' names from file names by a pattern, or from a table."""

from __future__ import annotations

import csv
import io
import os
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from listen.audio import RECORDING_ENDINGS
from listen.document import find_words_file, read_text_file
from listen.errors import BadValueError, DocumentError, bad_value

MOST_TABLE_BYTES = 10_000_000
_FIELD, _STUDENT = "{student}", "(.+?)"


@dataclass(frozen=True, slots=True)
class StudentRecording:
    """A student's recording.

    Parameters
    ----------
    path : Path
    student : str
    """

    path: Path
    student: str


def name_order(name: str) -> tuple[str, str]:
    """Return what names are put in order by: their letters without marks and capitals, then the name itself.

    Examples
    --------
    >>> sorted(["Zoë", "Élise", "anna", "Eva"], key=name_order)
    ['anna', 'Élise', 'Eva', 'Zoë']
    """
    parted = unicodedata.normalize("NFKD", name.casefold())
    return "".join(letter for letter in parted if not unicodedata.combining(letter)), name


def find_recordings(named: Iterable[Path | str]) -> list[Path]:
    """Return recordings: files as they were named, and those in folders, by name; each once, by its first spelling.

    Raises
    ------
    BadValueError, DocumentError
        A folder without recordings, or one that may not be read.
    """
    found: dict[tuple[str, str], Path] = {}
    for path in map(Path, named):
        inside = _list_folder(path)
        recordings = [path] if inside is None else [one for one in inside if _is_recording(one)]
        if not recordings:
            raise _say_none(path, inside or ())
        for one in recordings:  # a link is another recording than what it leads to: it may be another student's
            found.setdefault((os.path.realpath(one.parent), one.name), one)
    if not found:
        raise BadValueError("No recordings were given: name files, or a folder that holds them.")
    return list(found.values())


def find_passed_over(named: Iterable[Path | str]) -> list[Path]:
    """Return the files and folders in folders that :func:`find_recordings` passes over, without a teacher's words.

    Raises
    ------
    DocumentError
        A folder may not be read.
    """
    inside = [one for path in map(Path, named) for one in _list_folder(path) or ()]
    words = {find_words_file(one) for one in inside if _is_recording(one)}
    return [one for one in inside if not _is_recording(one) and one not in words]


def _say_none(folder: Path, inside: Sequence[Path]) -> BadValueError:
    folders = [one.name for one in inside if one.is_dir()]
    if folders:
        more = f" and {len(folders) - 1} more" if len(folders) > 1 else ""
        return BadValueError(
            f"The folder {folder} holds no recordings but folders ({folders[0]}{more}), which are not looked into: put "
            "the recordings into one folder, each named after its student."
        )
    endings = ", ".join(RECORDING_ENDINGS)
    return BadValueError(f"The folder {folder} holds no recordings: they end in {endings}. Give another folder.")


def _list_folder(path: Path) -> list[Path] | None:
    """Return the files and folders in a folder by name, without hidden ones; None for what is no folder."""
    try:
        if not path.is_dir():
            return None
        inside = (one for one in path.iterdir() if not one.name.startswith(".") and (one.is_file() or one.is_dir()))
        return sorted(inside, key=lambda one: name_order(one.name))
    except OSError as error:
        raise DocumentError(f"{path} could not be read: {error.strerror or error}.") from error


def _is_recording(path: Path) -> bool:
    return path.suffix.lower() in RECORDING_ENDINGS and path.is_file()


def name_students(paths: Sequence[Path], *, pattern: str = "", table: Path | None = None) -> list[StudentRecording]:
    """Say whose each recording is, in the order of the students' names.

    Parameters
    ----------
    paths : sequence of Path
    pattern : str
        Of the file's name without its ending, ``{student}`` for the student and ``*`` for anything:
        ``week3-{student}-*``. The whole name is the student's where none is given.
    table : Path or None
        A CSV file with columns ``file`` and ``student``.

    Raises
    ------
    BadValueError, DocumentError
        The pattern does not fit a file; the table cannot be read; or two recordings are one student's.

    Examples
    --------
    >>> files = [Path("week3-anna-2.m4a"), Path("week3-bo-1.m4a")]
    >>> [one.student for one in name_students(files, pattern="week3-{student}-*")]
    ['anna', 'bo']
    """
    names = _from_table(paths, table) if table is not None else [_from_pattern(path, pattern) for path in paths]
    owners: dict[str, Path] = {}
    for path, name in zip(paths, names, strict=True):
        other = owners.setdefault(name.casefold(), path)
        if other is not path:
            raise BadValueError(
                f"{other.name} and {path.name} would both be {name}'s: rename one. 'listen check' also takes --names, "
                "a pattern with {student} that tells them apart, or --students, a table."
            )
    recordings = [StudentRecording(path, name) for path, name in zip(paths, names, strict=True)]
    return sorted(recordings, key=lambda one: name_order(one.student))


def _from_pattern(path: Path, pattern: str) -> str:
    if not pattern:
        return path.stem
    if pattern.count(_FIELD) != 1:
        raise bad_value(
            "names", pattern, allowed="a pattern that holds {student} once", remedy="Write week3-{student}."
        )
    expression = _to_expression(pattern)
    match = re.fullmatch(expression, path.stem) or re.fullmatch(expression, path.name)
    if match is None or not match[1].strip():
        raise bad_value(
            "names", pattern, allowed="a pattern that fits every file", remedy=f"It does not fit {path.name}."
        )
    return match[1].strip(" _-")


def _to_expression(pattern: str) -> str:
    """Write a pattern as a regular expression that never tries one star's end twice (atomic groups, Python 3.11).

    The first place where a piece between two stars fits is as good as any later one: what follows may be anything.
    """
    pieces = [re.escape(piece).replace(re.escape(_FIELD), _STUDENT) for piece in re.split(r"\*+", pattern)]
    rest = [_after_star(piece, is_last=place == len(pieces) - 1) for place, piece in enumerate(pieces) if place]
    return pieces[0] + "".join(rest)


def _after_star(piece: str, *, is_last: bool) -> str:
    before, field, after = piece.partition(_STUDENT)
    if not field:
        return f".*?{piece}" if is_last else f"(?>.*?{piece})"
    return f"(?>.*?{before}){field}{after}"


def _from_table(paths: Sequence[Path], table: Path) -> list[str]:
    text = read_text_file(table, called="a table of students", most_bytes=MOST_TABLE_BYTES)
    try:
        reader = csv.DictReader(io.StringIO(text, newline=""))
        columns, rows = tuple(reader.fieldnames or ()), list(reader)
    except csv.Error as error:
        raise DocumentError(f"{table} is no table: write CSV with the columns file and student.") from error
    if not {"file", "student"} <= set(columns):
        parted = "; they are parted by semicolons: save it with commas" if any(";" in one for one in columns) else ""
        raise DocumentError(f"{table} needs the columns file and student in its first line{parted}.")
    known: dict[str, str] = {}
    for row in rows:
        file, student = (str(row[column] or "").strip() for column in ("file", "student"))
        if file and known.setdefault(file, student) != student:
            raise DocumentError(f"{table} gives {file} to {known[file]} and to {student}: keep one of the two lines.")
    missing = [path.name for path in paths if not known.get(path.name)]
    if missing:
        more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
        raise DocumentError(f"{table} does not say whose {missing[0]} is{more}.")
    return [known[path.name] for path in paths]
