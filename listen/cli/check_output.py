"""Where ``listen check`` puts what it found: the terminal, reports by their endings, a page for each student."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from listen.cli.console import LEAST_WIDTH, print_error, print_lines, print_note, print_pieces, write_progress
from listen.cli.each_output import write_each
from listen.cli.options import check_once, check_output

if TYPE_CHECKING:
    from listen.document import ClassCheck
    from listen.export import TextStyle
    from listen.jobs import StudentRecording
    from listen.reading import Assignment, Check

MOST_PASSED = 5  # names of files that were passed over, in one sentence


def tell_passed_over(named: Sequence[Path]) -> None:
    """Say which files in folders were not taken for recordings, and which folders in them were not looked into."""
    from listen.jobs import find_passed_over

    found = find_passed_over(named)
    files, folders = ([path.name for path in found if path.is_dir() == is_folder] for is_folder in (False, True))
    if files:
        print_note(f"Passed over, since they end as no recording does: {_name_some(files)}.")
    if folders:
        print_note(
            f"Passed over, since they are folders: {_name_some(folders)}; put a class's recordings into one folder, "
            "each named after its student."
        )


def _name_some(names: Sequence[str]) -> str:
    more = f" and {len(names) - MOST_PASSED} more" if len(names) > MOST_PASSED else ""
    return f"{', '.join(names[:MOST_PASSED])}{more}"


def leave_if_nothing_was_read(checked: ClassCheck) -> None:
    """End the command where it was stopped so early that there is nothing to show, and nothing to write."""
    if not (checked.complete or checked.checks or checked.failures):
        print_note("Stopped before anything was read; nothing was written.")
        raise typer.Exit(130)


def tell_failures(checked: ClassCheck) -> None:
    """Say on standard error what could not be checked, where standard output holds a document."""
    for one in checked.failures:
        print_error(one.error)


def print_checked(checked: ClassCheck, *, style: TextStyle, as_json: bool) -> None:
    """Print the document, or what to say."""
    from listen.document import class_to_document, render_document
    from listen.export import render_class_text

    if as_json:
        print_pieces([render_document(class_to_document(checked)), "\n"])
    else:
        print_lines([render_class_text(checked, style=style).rstrip("\n")])


def check_reports(
    outputs: Sequence[Path],
    pages: Path | None,
    recordings: Sequence[StudentRecording],
    *,
    overwrite: bool,
    reads: Sequence[Path | str | None],
) -> list[tuple[Path, bool]]:
    """Say before the work what cannot be written; return each file with whether it may be replaced.

    Parameters
    ----------
    outputs : sequence of Path
    pages : Path or None
    recordings : sequence of StudentRecording
    overwrite : bool
    reads : sequence of Path, str or None
        What is read beside the recordings and the teacher's words on them.
    """
    from listen.document import find_words_file, make_folder
    from listen.request import CHECK_ENDINGS, page_name

    check_once(outputs)
    paths = [one.path for one in recordings]
    beside = [one for one in reads if one is not None]
    guarded = [*paths, *map(find_words_file, paths), *beside]
    allowed = [
        (path, check_output(path, overwrite=overwrite, reads=guarded, endings=CHECK_ENDINGS)) for path in outputs
    ]
    if pages is not None:
        make_folder(pages, option="--pages")
        for name in sorted({page_name(one.student) for one in recordings}):
            check_output(pages / name, overwrite=overwrite, reads=guarded)
    return allowed


def write_reports(
    checked: ClassCheck,
    recordings: Sequence[StudentRecording],
    assignment: Assignment,
    outputs: Sequence[tuple[Path, bool]],
    pages: Path | None,
    *,
    left_handed: bool,
) -> bool:
    """Write the reports and the students' pages that were asked for.

    Returns
    -------
    bool
        Whether all were written; of what was not, a line said why.
    """
    from listen.document import write_file
    from listen.export import render_check_page
    from listen.request import page_name, render_check_file

    def report(path: Path, overwrite: bool) -> None:
        content = render_check_file(checked, recordings, assignment, path, pages=pages, left_handed=left_handed)
        write_file(path, content, overwrite=overwrite)

    paths = {one.student: one.path for one in recordings}

    def page(path: Path, check: Check) -> None:
        content = render_check_page(check, assignment, recording=paths[check.student], left_handed=left_handed)
        write_file(path, content, overwrite=True)

    written = [write_each(path, partial(report, path, overwrite)) for path, overwrite in outputs]
    if pages is not None:
        made = [(pages / page_name(check.student), check) for check in checked.checks]
        done = [write_each(path, partial(page, path, check), tells=False) for path, check in made]
        told = "1 page was" if sum(done) == 1 else f"{sum(done)} pages were"
        print_note(f"{told} written to {pages}.")
        written += done
    return all(written)


def write_handout(
    assignment: Assignment, outputs: Sequence[Path], *, overwrite: bool, left_handed: bool, assigned: str
) -> None:
    """Write the sheet to hand out, or print the chart."""
    from listen.document import render_chart_text, write_file
    from listen.export import render_handout
    from listen.request import HANDOUT_ENDINGS

    if not outputs:
        print_lines([render_chart_text(assignment).rstrip("\n")])
        print_note("No recordings were given; -o sheet.html writes the sheet to hand out.")
        return
    check_once(outputs)
    for path in outputs:
        allowed = check_output(path, overwrite=overwrite, reads=[assigned], endings=HANDOUT_ENDINGS)
        is_page = path.suffix.lower() == ".html"
        content = render_handout(assignment, left_handed=left_handed) if is_page else render_chart_text(assignment)
        write_file(path, content, overwrite=allowed)
        print_note(f"{path} was written.")


def write_new(path: Path, *, overwrite: bool) -> None:
    """Write a chart to fill in."""
    from listen.document import write_file
    from listen.request import CHART_TEMPLATE, NEW_ENDINGS

    overwrite = check_output(path, overwrite=overwrite, endings=NEW_ENDINGS, option="new")
    write_file(path, CHART_TEMPLATE, overwrite=overwrite)
    print_note(f"{path} was written: fill it in, and try it with 'listen check {path} -o sheet.html'.")


def show_class_progress(total: int) -> Callable[[int, int, str], None] | None:
    """Return what shows, on a terminal, how many are done and how long the rest will take."""
    if total < 2 or not sys.stderr.isatty():
        return None
    from listen.export import TextStyle

    begun = time.monotonic()
    first: list[int] = []

    def show(done: int, of: int, student: str) -> None:
        first[:] = first or [done - 1]  # what was kept from before took no time
        left_s = (time.monotonic() - begun) * (of - done) / max(1, done - first[0])
        line = f"{done} of {of} read, about {_span_text(left_s)} left: {student}"
        write_progress(TextStyle().plain(line)[: 2 * LEAST_WIDTH - 1])

    return show


def _span_text(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 90 else f"{seconds / 60:.0f} min"
