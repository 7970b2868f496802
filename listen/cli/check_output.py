"""Where ``listen check`` puts what it found: the terminal, reports by their endings, a page for each student."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from listen.cli.check_asked import CheckAsked
from listen.cli.console import print_lines, print_note, print_pieces
from listen.cli.options import check_output
from listen.errors import BadValueError, DocumentError

if TYPE_CHECKING:
    from listen.document import ClassCheck
    from listen.export import TextStyle
    from listen.jobs import Recording
    from listen.reading import Assignment

ENDINGS = (".html", ".csv", ".json")


def print_checked(checked: ClassCheck, *, style: TextStyle, as_json: bool) -> None:
    """Print the document, or what to say."""
    from listen.document import class_to_document, render_document
    from listen.export import render_class_text

    if as_json:
        print_pieces([render_document(class_to_document(checked)), "\n"])
    else:
        print_lines([render_class_text(checked, style=style).rstrip("\n")])


def check_reports(asked: CheckAsked, recordings: Sequence[Path], *, overwrite: bool) -> None:
    """Say before the work whether the reports may be written."""
    for path in asked.outputs:
        check_output(path, overwrite=overwrite, reads=recordings, endings=ENDINGS)
    if asked.pages is not None:
        try:
            asked.pages.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise DocumentError(f"The folder {asked.pages} could not be made: {error.strerror or error}.") from error


def write_reports(
    checked: ClassCheck,
    recordings: Sequence[Recording],
    assignment: Assignment,
    asked: CheckAsked,
    *,
    overwrite: bool,
    left_handed: bool,
) -> None:
    """Write the reports that were asked for."""
    from listen.document import class_to_document, render_document, write_file
    from listen.export import render_check_csv, render_check_page, render_class_page

    paths = {one.student: one.path for one in recordings}
    for path in asked.outputs:
        suffix = path.suffix.lower()
        if suffix == ".json":
            content = render_document(class_to_document(checked), indent=1) + "\n"
        elif suffix == ".csv":
            content = render_check_csv(checked)
        elif len(recordings) == 1 and checked.checks:
            content = render_check_page(
                checked.checks[0], assignment, recording=recordings[0].path, left_handed=left_handed
            )
        else:
            links = {one.student: _page_name(one.student) for one in checked.checks} if asked.pages is not None else {}
            where = "" if asked.pages is None else _relative(asked.pages, path.parent)
            content = render_class_page(checked, links={who: f"{where}{name}" for who, name in links.items()})
        write_file(path, content, overwrite=overwrite)
        print_note(f"{path} was written.")
    if asked.pages is not None:
        for check in checked.checks:
            target = asked.pages / _page_name(check.student)
            page = render_check_page(check, assignment, recording=paths[check.student], left_handed=left_handed)
            write_file(target, page, overwrite=True)
        print_note(f"{len(checked.checks)} pages were written to {asked.pages}.")


def write_handout(assignment: Assignment, asked: CheckAsked, *, overwrite: bool, left_handed: bool) -> None:
    """Write the sheet to hand out, or print the chart."""
    from listen.document import render_chart_text, write_file
    from listen.export import render_handout

    if not asked.outputs:
        print_lines([render_chart_text(assignment).rstrip("\n")])
        print_note("No recordings were given; -o sheet.html writes the sheet to hand out.")
        return
    for path in asked.outputs:
        allowed = check_output(path, overwrite=overwrite, endings=(".html", ".chart", ".txt"))
        is_page = path.suffix.lower() == ".html"
        content = render_handout(assignment, left_handed=left_handed) if is_page else render_chart_text(assignment)
        write_file(path, content, overwrite=allowed)
        print_note(f"{path} was written.")


def _page_name(student: str) -> str:
    name = re.sub(r"[^\w.-]+", "_", student, flags=re.UNICODE).strip("._")[:80] or "student"
    return f"{name}.html"


def _relative(folder: Path, base: Path) -> str:
    import os

    try:
        inside = os.path.relpath(folder, base).replace("\\", "/")
    except ValueError as error:  # another drive
        raise BadValueError(
            f"{folder} and {base} are on different drives; put the class page beside the pages."
        ) from error
    return "" if inside == "." else f"{inside}/"
