"""Answers of practice as files: those that a page hands out, and the table that progress is exported as.

``{"format": "listen.answers/1", "answers": [{"at", "kind", "level", "played", "said", "is_right", "took_s"}, …]}``; the
table has a column more for how it was answered, one for a hum's cents, and one for whether it was asked at the player's
own level, which older tables lack.
"""

from __future__ import annotations

import csv
from dataclasses import fields, replace
from io import StringIO
from pathlib import Path

from listen.document.format import read_document
from listen.document.progress import Answered
from listen.document.text_file import read_text_file
from listen.errors import DocumentError

ANSWERS_FORMAT = "listen.answers/1"
# what a person can have answered: years of practice, a day for one, the hardest level
MOST_ANSWERS, LONGEST_TEXT, LONGEST_S, HIGHEST_LEVEL = 10_000, 80, 86_400.0, 10.0
MOST_TABLE_BYTES, MOST_CENTS = 20_000_000, 1_200.0  # ten thousand answers and room; an octave
_TEXTS = ("at", "kind", "played", "said")


def read_answers(path: Path) -> tuple[Answered, ...]:
    """Read the answers of a session on a page, which were all asked at the levels of whoever wrote it.

    Raises
    ------
    DocumentError
        The file cannot be read, is something else, or an answer in it is not as a page writes it.
    """
    rows = read_document(path, kind="answers").get("answers")
    if not isinstance(rows, list) or len(rows) > MOST_ANSWERS:
        raise DocumentError(f"{path} has no list of at most {MOST_ANSWERS} answers.")
    return tuple(_read_answer(row, f"{path}, answer {number}") for number, row in enumerate(rows, 1))


def read_answers_table(path: Path) -> tuple[Answered, ...]:
    """Read answers that were exported as a table.

    Raises
    ------
    DocumentError
        The file cannot be read, is no such table, or a row in it is not as an export writes it.
    """
    text = read_text_file(path, called="a table of answers", most_bytes=MOST_TABLE_BYTES)
    wanted = {field.name for field in fields(Answered)} - {"own_level"}
    try:
        table = csv.DictReader(StringIO(text, newline=""))
        rows = list(table) if wanted <= set(table.fieldnames or ()) else None
    except csv.Error:  # a cell without end
        rows = None
    if rows is None:
        raise DocumentError(f"{path} is no table of answers: 'listen practise --export' writes one.")
    return tuple(_read_row(row, f"{path}, row {number}") for number, row in enumerate(rows, 2))


def _read_row(row: dict[str, str | None], where: str) -> Answered:
    typed: dict[str, object] = dict(row)
    try:
        typed |= {name: float(row[name] or "") for name in ("level", "took_s")}
        cents = float(row["cents"]) if row["cents"] else None
    except ValueError as error:
        raise DocumentError(f"{where} holds no number where one is wanted: {error}.") from error
    if cents is not None and not abs(cents) <= MOST_CENTS:
        raise DocumentError(f"{where} has cents={cents:g}, where at most {MOST_CENTS:g} are possible.")
    typed["is_right"] = {"True": True, "False": False}.get(row["is_right"] or "")
    how, own_level = (row["how"] or "")[:LONGEST_TEXT], row.get("own_level") != "False"
    return replace(_read_answer(typed, where), how=how, cents=cents, own_level=own_level)


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
    answer = Answered(
        row["at"], row["kind"], float(row["level"]), row["played"], row["said"], row["is_right"], float(row["took_s"]),
        "page", own_level=False,
    )  # fmt: skip
    try:
        answer.time  # noqa: B018 - a ValueError where it is no time
    except ValueError as error:
        raise DocumentError(
            f"{where} has at={row['at'][:40]!r}, which is no time such as 2026-05-01T18:30:00+00:00."
        ) from error
    return answer
