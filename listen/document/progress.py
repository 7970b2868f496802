"""A player's progress in practice: one SQLite file, kept by the system's own rules for such data.

Every answer is written in one transaction before the next question is asked; the write-ahead log survives a killed
program. Where the player stands follows from the answers and is not kept beside them. Conventions: times are UTC in
ISO 8601; levels as in :mod:`listen.practice`, which this room knows nothing of. The file lies in the folder that the
system has for data (platformdirs), or where the environment variable ``LISTEN_PRACTICE`` says.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import astuple, dataclass, fields
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from listen.document.write import hold_lock
from listen.errors import DocumentError, bad_value

FIRST_YEAR, LAST_YEAR = 1970, 2900  # a clock that lost its battery says 1970; a century can be counted on from either
WAIT_S = 2.0  # for another session that is just writing
MIGRATIONS: tuple[str, ...] = (
    """
    CREATE TABLE answers (
        at TEXT NOT NULL, kind TEXT NOT NULL, level REAL NOT NULL, played TEXT NOT NULL, said TEXT NOT NULL,
        is_right INTEGER NOT NULL, took_s REAL NOT NULL, how TEXT NOT NULL, cents REAL
    );
    CREATE TABLE kinds (kind TEXT PRIMARY KEY, level REAL NOT NULL, n_answers INTEGER NOT NULL, card TEXT NOT NULL);
    """,
    "CREATE INDEX answers_by_time ON answers (at);",
    "ALTER TABLE answers ADD COLUMN own_level INTEGER NOT NULL DEFAULT 1; DROP TABLE IF EXISTS kinds;",
)
"""Each brings the file one version up; ``user_version`` says how many were run."""
_ANSWER_TYPES = (str, str, int | float, str, str, int, int | float, str, int | float | None, int)


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer as it is kept.

    Parameters
    ----------
    at : str
        When, ISO 8601 in UTC.
    kind : str
    level : float
    played, said : str
        Keys of what was right and of what was answered.
    is_right : bool
    took_s : float
        From the end of the sound; 0.0 where it was answered before that, or nobody measured it.
    how : str
        ``"key"``, ``"name"``, ``"hum"``, ``"guitar"`` or ``"page"``.
    cents : float or None
        How far a hummed note lay from the bass.
    own_level : bool
        Whether it was asked as hard as the player's own level had it. What a teacher, a page or a recording made as
        hard as it was says nothing about that level.
    """

    at: str
    kind: str
    level: float
    played: str
    said: str
    is_right: bool
    took_s: float
    how: str = "key"
    cents: float | None = None
    own_level: bool = True

    @property
    def time(self) -> datetime:
        """When, in UTC; a ValueError where `at` is no time that an answer can have."""
        at = datetime.fromisoformat(self.at)
        if not FIRST_YEAR <= at.year <= LAST_YEAR:
            raise ValueError(f"{at.year} is no year of an answer")
        return at.replace(tzinfo=UTC) if at.tzinfo is None else at.astimezone(UTC)

    @property
    def day(self) -> date:
        """The day on the player's own clock."""
        return self.time.astimezone().date()


def find_progress_file() -> Path:
    """Return where progress is kept, whether or not there is any."""
    named = os.environ.get("LISTEN_PRACTICE")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("listen", appauthor=False) / "practice.sqlite"


class Progress:
    """An open progress file; see :func:`open_progress`."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection, self.path = connection, path

    def answers(self) -> tuple[Answered, ...]:
        """Return all answers in the order of their times; one of a year that no answer has is passed over."""
        names = ", ".join(field.name for field in fields(Answered))
        statement = f"SELECT {names} FROM answers ORDER BY rowid"  # noqa: S608 - names of our own fields
        with _in_words(self.path):
            rows = list(self._connection.execute(statement))
            found = [answer for answer in map(_read_row, rows) if answer is not None]
        return tuple(sorted(found, key=lambda answer: answer.time))  # their texts may be of several time zones

    def record(self, answer: Answered) -> None:
        """Keep one answer, as :meth:`record_all` does."""
        self.record_all([answer])

    def record_all(self, given: Iterable[Answered]) -> None:
        """Keep several answers, all or none; one that is there already (same time and kind) is not kept twice.

        Raises
        ------
        BadValueError
            One was given at a time that no answer can have: nothing is kept.
        DocumentError
            The file cannot be written now.
        """
        given = tuple(given)
        for answer in given:
            _check_time(answer)
        with _in_words(self.path), self._connection:
            for answer in given:
                known = self._connection.execute(
                    "SELECT 1 FROM answers WHERE at = ? AND kind = ?", (answer.at, answer.kind)
                ).fetchone()
                if not known:
                    self._connection.execute(
                        "INSERT INTO answers VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", astuple(answer)
                    )


def _check_time(answer: Answered) -> None:
    try:
        answer.time  # noqa: B018 - a ValueError where it is no time
    except ValueError as error:
        raise bad_value(
            "time of an answer", answer.at, allowed=f"one from {FIRST_YEAR} to {LAST_YEAR}",
            remedy="Is the clock of this computer right?",
        ) from error  # fmt: skip


def _read_row(row: tuple[Any, ...]) -> Answered | None:
    """Read a row, None where its year is none of an answer: one such row, of a wrong clock, takes no other with it.

    SQLite itself holds no column to its type, so a damaged byte may make text of a number.
    """
    if not all(isinstance(value, one) for value, one in zip(row, _ANSWER_TYPES, strict=True)):
        raise TypeError("a value of another type")
    at, kind, level, played, said, is_right, took_s, how, cents, own_level = row
    answer = Answered(at, kind, level, played, said, bool(is_right), took_s, how, cents, bool(own_level))
    try:
        year = datetime.fromisoformat(at).year
    except ValueError as error:
        raise TypeError(f"{at[:40]!r} is no time") from error
    return answer if FIRST_YEAR <= year <= LAST_YEAR else None


@contextmanager
def open_progress(path: Path | None = None) -> Iterator[Progress]:
    """Open a player's progress, making the file where there is none.

    Raises
    ------
    DocumentError
        The file is damaged, of another program or a newer version, locked by another session, or cannot be made.
    """
    path = path or find_progress_file()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise DocumentError(f"{path.parent} could not be made: {error.strerror or error}.") from error
    with _in_words(path):
        connection = sqlite3.connect(path, timeout=WAIT_S)
    try:
        with _in_words(path):
            _bring_up_to_date(connection, path)
        yield Progress(connection, path)
    finally:
        connection.close()


def _bring_up_to_date(connection: sqlite3.Connection, path: Path) -> None:
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    if version > len(MIGRATIONS):
        raise DocumentError(
            f"{path} was written by a newer version of this program (progress {version}, this one knows "
            f"{len(MIGRATIONS)}): update the program; nothing was changed."
        )
    if version == len(MIGRATIONS):
        _check_whole(connection)
        return
    with hold_lock(path):  # the first two requests of a page come at once
        version = int(connection.execute("PRAGMA user_version").fetchone()[0])
        if version == 0 and connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone():
            raise DocumentError(
                f"{path} is a database of another program, and was left as it is: LISTEN_PRACTICE names the file of "
                "your progress, or one that is not there yet."
            )
        _check_whole(connection)
        connection.execute("PRAGMA journal_mode = WAL")
        for number in range(version, len(MIGRATIONS)):
            connection.executescript(
                f"BEGIN IMMEDIATE; {MIGRATIONS[number]} PRAGMA user_version = {number + 1}; COMMIT;"
            )


def _check_whole(connection: sqlite3.Connection) -> None:
    """Refuse a file with a damaged page, which SQLite may else read as one without rows."""
    found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok":
        raise sqlite3.DatabaseError(" ".join(str(found).split()))


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    """Say in a sentence what SQLite complains of."""
    try:
        yield
    except sqlite3.OperationalError as error:
        if "locked" in str(error):
            sentence = f"{path} is in use by another session, so nothing was kept now: end that one, then try again."
            raise DocumentError(sentence) from error
        raise DocumentError(f"{path} could not be used for progress: {error}.") from error
    except (sqlite3.DatabaseError, UnicodeDecodeError, TypeError) as error:
        raise DocumentError(
            f"{path} is damaged, or no progress file of this program ({error}). It was left as it is: move it away to "
            "begin anew, or put back a copy."
        ) from error
