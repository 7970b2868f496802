"""Answers that were given on a page, as the file that the page hands out.

``{"format": "listen.answers/1", "answers": [{"at", "kind", "level", "played", "said", "is_right", "took_s"}, …]}``
"""

from __future__ import annotations

from pathlib import Path

from listen.document.format import read_document
from listen.document.progress import Answered
from listen.errors import DocumentError

ANSWERS_FORMAT = "listen.answers/1"
MOST_ANSWERS, LONGEST_TEXT, LONGEST_S, HIGHEST_LEVEL = 10_000, 80, 86_400.0, 10.0
_TEXTS = ("at", "kind", "played", "said")


def read_answers(path: Path) -> tuple[Answered, ...]:
    """Read the answers of a session on a page.

    Raises
    ------
    DocumentError
        The file cannot be read, is something else, or an answer in it is not as a page writes it.
    """
    rows = read_document(path, kind="answers").get("answers")
    if not isinstance(rows, list) or len(rows) > MOST_ANSWERS:
        raise DocumentError(f"{path} has no list of at most {MOST_ANSWERS} answers.")
    return tuple(_read_answer(row, f"{path}, answer {number}") for number, row in enumerate(rows, 1))


def _read_answer(row: object, where: str) -> Answered:
    if not isinstance(row, dict):
        raise DocumentError(f"{where} is no object.")
    for name in _TEXTS:
        value = row.get(name)
        if not isinstance(value, str) or len(value) > LONGEST_TEXT:
            raise DocumentError(
                f"{where} has {name}={str(value)[:40]!r}, where a text of at most {LONGEST_TEXT} signs is wanted."
            )
    for name, most in (("level", HIGHEST_LEVEL), ("took_s", LONGEST_S)):
        value = row.get(name)
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value <= most:
            raise DocumentError(f"{where} has {name}={str(value)[:40]}, where a number from 0 to {most:g} is wanted.")
    if not isinstance(row.get("is_right"), bool):
        raise DocumentError(f"{where} has is_right={str(row.get('is_right'))[:40]}, where true or false is wanted.")
    return Answered(
        row["at"], row["kind"], float(row["level"]), row["played"], row["said"], row["is_right"], float(row["took_s"]),
        "page",
    )  # fmt: skip
