"""What a check is written as: reports by their endings, a page for each student, the sheet to hand out."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from listen.errors import BadValueError

if TYPE_CHECKING:
    from listen.document import ClassCheck
    from listen.jobs import StudentRecording
    from listen.reading import Assignment

CHECK_ENDINGS = (".html", ".csv", ".json")
HANDOUT_ENDINGS = (".html", ".chart", ".txt")
_LONGEST_NAME = 80


def render_check_file(
    checked: ClassCheck,
    recordings: Sequence[StudentRecording],
    assignment: Assignment,
    path: Path,
    *,
    pages: Path | None = None,
    left_handed: bool = False,
) -> str:
    """Return a report in the form that the file's ending names.

    Parameters
    ----------
    checked : ClassCheck
    recordings : sequence of Recording
        That were checked.
    assignment : Assignment
    path : Path
        Where it goes: one recording's page, the class's, CSV, or the document.
    pages : Path or None
        The folder of the students' pages, which the class's page leads to.
    left_handed : bool
    """
    from listen.document import class_to_document, render_document
    from listen.export import render_check_csv, render_check_page, render_class_page

    suffix = path.suffix.lower()
    if suffix == ".json":
        return render_document(class_to_document(checked), indent=1) + "\n"
    if suffix == ".csv":
        return render_check_csv(checked)
    if len(recordings) == 1 and checked.checks:
        return render_check_page(checked.checks[0], assignment, recording=recordings[0].path, left_handed=left_handed)
    if pages is None:
        return render_class_page(checked)
    where = _relative(pages, path.parent)
    return render_class_page(checked, links={one.student: f"{where}{page_name(one.student)}" for one in checked.checks})


def page_name(student: str) -> str:
    """Return the file name of a student's page.

    Examples
    --------
    >>> page_name("Anna M."), page_name("../x")
    ('Anna_M.html', 'x.html')
    """
    name = re.sub(r"[^\w.-]+", "_", student, flags=re.UNICODE).strip("._")[:_LONGEST_NAME] or "student"
    return f"{name}.html"


def _relative(folder: Path, base: Path) -> str:
    try:
        inside = os.path.relpath(folder, base).replace("\\", "/")
    except ValueError as error:  # another drive
        raise BadValueError(f"{folder} and {base} are on different drives; put the class page beside them.") from error
    return "" if inside == "." else f"{inside}/"
