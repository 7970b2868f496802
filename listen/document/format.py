"""Document formats: every document says what it is and which major version.

Conventions: ``"format": "listen.KIND/MAJOR"``. A document of an older version is brought up to date when it is read;
one of a newer version is refused, and nothing is ever written over it.
"""

from __future__ import annotations

import json
import re
import stat
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from listen.document.long_lists import LEAST_BYTES, parse_long
from listen.document.write import check_writable, write_file
from listen.errors import DocumentError


class NewerFormatError(DocumentError):
    """A document was written by a newer version of this program: it is whole, and is not to be thrown away."""


Document = dict[str, Any]
VERSIONS: Mapping[str, int] = {
    "strum": 1,
    "shapes": 1,
    "name": 1,
    "part": 1,
    "settings": 1,
    "guitar": 1,
    "check": 1,
    "teacher": 1,
    "answers": 1,
}
MIGRATIONS: dict[tuple[str, int], Callable[[Document], Document]] = {}  # (kind, old version) -> one version up
MAX_DOCUMENT_BYTES = 100 * 1024 * 1024  # an hour of three strums a second takes 85 MB; more is no document of ours
MOST_VALUES = 8_500_000
"""That hour has 7 million: a value has twelve letters in the mean. A document of empty braces has three letters a value
and each takes 72 bytes of memory: one of 100 MB would take 2.5 GB."""
_FORMAT = re.compile(r"listen\.([a-z]+)/(\d{1,6})")


def format_of(kind: str) -> str:
    """Return the format text of the present version.

    Examples
    --------
    >>> format_of("strum")
    'listen.strum/1'
    """
    return f"listen.{kind}/{VERSIONS[kind]}"


def update_document(document: object, *, kind: str, name: str) -> Document:
    """Check what a document is and bring it up to the present version.

    Parameters
    ----------
    document : object
        As parsed from JSON.
    kind : str
        What it should be, e.g. ``"part"``.
    name : str
        What the user calls it, for the error.

    Raises
    ------
    DocumentError
        It is something else, or of a newer version (:class:`NewerFormatError`).
    """
    text = document.get("format") if isinstance(document, dict) else None
    match = _FORMAT.fullmatch(text) if isinstance(text, str) else None
    if match is None or not isinstance(document, dict):
        raise DocumentError(f"{name} does not say which format it has, so it is no document of this program.")
    found, version = match[1], int(match[2])
    if found != kind:
        raise DocumentError(f"{name} holds {_document(found)} where {_document(kind)} is needed.")
    if version > VERSIONS[kind]:
        raise NewerFormatError(
            f"{name} was written by a newer version of this program (format {version}, this one knows up to "
            f"{VERSIONS[kind]}); update the program. The file was left as it is."
        )
    while version < VERSIONS[kind]:
        step = MIGRATIONS.get((kind, version))
        if step is None:
            raise DocumentError(f"{name} has format version {version}, which was never published.")
        version += 1
        document = {**step(document), "format": f"listen.{kind}/{version}"}
    return document


def _document(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind} document"


def read_document(path: Path | str, *, kind: str) -> Document:
    """Read a document from a file.

    Raises
    ------
    DocumentError
        It cannot be read, is no JSON, is truncated, is of another kind or of a newer version.
    """
    return update_document(read_json(path, is_long=kind == "part"), kind=kind, name=str(path))


def read_json(path: Path | str, *, is_long: bool = False) -> object:
    """Read what is written in JSON; `is_long`, where it may hold lists that are better parsed when they are read.

    Raises
    ------
    DocumentError
        It cannot be read, is no JSON, or is truncated.
    """
    path = Path(path)
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise DocumentError(f"{path} is no ordinary file, so it is no document of this program.")
        if status.st_size > MAX_DOCUMENT_BYTES:
            raise DocumentError(f"{path} is too large for a document (over {MAX_DOCUMENT_BYTES // 2**20} MB).")
        raw = path.read_bytes()
        if sum(map(raw.count, (b",", b"[", b"{"))) > MOST_VALUES:
            raise DocumentError(f"{path} holds over {MOST_VALUES} values, so it is no document of this program.")
        return parse_long(raw) if is_long and len(raw) >= LEAST_BYTES else json.loads(raw.decode("utf-8-sig"))
    except FileNotFoundError as error:
        raise DocumentError(f"{path} is not there; check the name.") from error
    except OSError as error:
        raise DocumentError(f"{path} could not be read: {error.strerror or error}.") from error
    except (UnicodeDecodeError, RecursionError) as error:
        raise DocumentError(f"{path} is no JSON text, so it is no document of this program.") from error
    except json.JSONDecodeError as error:
        raise DocumentError(_explain(error, path)) from error
    except ValueError as error:  # Python reads no whole number of over 4300 digits
        raise DocumentError(f"{path} holds a number that is far too long; undo the edit.") from error


def _explain(error: json.JSONDecodeError, path: Path) -> str:
    """Say what is wrong with a text that cannot be parsed; one that does not even begin as JSON was never any."""
    if not error.doc.strip():
        return f"{path} is empty: it holds no document; give another file."
    if not error.doc[: error.pos].strip():
        return f"{path} is no JSON text, so it is no document of this program."
    return f"{path} is damaged or was cut off: {error.msg} at line {error.lineno}, column {error.colno}."


def write_document(path: Path | str, document: Document, *, overwrite: bool = False) -> Path:
    """Write a document to a file atomically.

    Raises
    ------
    DocumentError
        It may not or cannot be written; a document of a newer version is not replaced even with `overwrite`.
    """
    path = Path(path)
    check_writable(path, overwrite=overwrite)  # a name may be too long to ask what it is
    if overwrite and path.is_file():
        _refuse_newer(path)
    return write_file(path, render_document(document, indent=2) + "\n", overwrite=overwrite)


def render_document(document: Document, *, indent: int | None = None) -> str:
    """Return a document as JSON: one line unless indented, no NaN, letters as they are."""
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=indent)


def _refuse_newer(path: Path) -> None:
    try:
        text = json.loads(path.read_text("utf-8-sig")).get("format")
    except (OSError, ValueError, AttributeError, RecursionError):
        return  # no document: the user said that it may be replaced
    match = _FORMAT.fullmatch(text) if isinstance(text, str) else None
    if match is not None and int(match[2]) > VERSIONS.get(match[1], int(match[2])):
        raise DocumentError(f"{path} was written by a newer version of this program and was left as it is.")
