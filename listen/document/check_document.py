"""The check document: what ``listen check --json`` prints, one object for all recordings of a run.

A document that is read back holds what the reports need; it is what last week's check is compared with.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from listen.document.check_codec import CHECK
from listen.document.codec import Field, Record, flag, listed, made_of, publish, text
from listen.document.cursor import Cursor
from listen.document.format import Document, read_document
from listen.reading import Check


@dataclass(frozen=True, slots=True)
class CheckFailure:
    """A recording that could not be checked.

    Parameters
    ----------
    student, source : str
    error : str
        One sentence.
    """

    student: str
    source: str
    error: str


@dataclass(frozen=True, slots=True)
class ClassCheck:
    """What came of one run.

    Parameters
    ----------
    title : str
        Of what was set.
    checks : tuple of Check
    failures : tuple of CheckFailure
    complete : bool
        False where it was stopped before the last recording.
    """

    title: str
    checks: tuple[Check, ...]
    failures: tuple[CheckFailure, ...] = ()
    complete: bool = True


FAILURE = Record(
    (
        Field("student", text(), default="", is_needed=True),
        Field("source", text(), default="", is_needed=True),
        Field("error", text()),
    ),
    made_of(CheckFailure),
)
CLASS = Record(
    (
        Field("title", text(), "Of what was set.", default="", is_needed=True),
        Field(
            "complete", flag(), "False where it was stopped before the last recording.", default=True, is_needed=True
        ),
        Field("checks", listed(CHECK.form(), "check"), default=(), is_needed=True),
        Field("failures", listed(FAILURE.form(), "failure"), default=(), is_needed=True),
    ),
    made_of(ClassCheck),
    kind="check",
)


def check_schema() -> Document:
    """Make the published schema of a check document."""
    return publish("check", "What `listen check` found in a student's recording, or a class's", CLASS.schema)


def class_to_document(checked: ClassCheck) -> Document:
    """Return the document of a run."""
    return CLASS.write(checked, None)


def check_to_document(check: Check) -> Document:
    """Return one recording's part of the document."""
    return CHECK.write(check, None)


def read_class(path: Path | str) -> ClassCheck:
    """Read a check document.

    Raises
    ------
    DocumentError
        It cannot be read, or a value in it is wrong: where, in one sentence.
    """
    return document_to_class(read_document(path, kind="check"), name=str(path))


def document_to_class(document: Document, *, name: str) -> ClassCheck:
    """Read a run from its document."""
    checked: ClassCheck = CLASS.read(Cursor(document, name), None)
    return checked


def document_to_check(top: Cursor) -> Check:
    """Read one recording's check."""
    check: Check = CHECK.read(top, None)
    return check
