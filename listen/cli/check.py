"""``listen check SET RECORDING...``: what students played, held against what was set."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import clear_progress, find_style, print_note
from listen.cli.options import AsciiOption, JsonOption, LeftHandedOption, OverwriteOption
from listen.errors import BadValueError, DocumentError


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command("check", cls=Command, short_help="Check recorded homework against what was set.")(check)


def check(
    *,
    assigned: Annotated[
        str,
        typer.Argument(
            metavar="SET",
            help="What was set: a chart, a recording or PART.json to play as, or chords or frets in quotes.",
        ),
    ] = "",
    recordings: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="RECORDING...",
            help="Students' recordings, or folders of them.",
            readable=False,  # typer's check would stop them all for one that may not be read
        ),
    ] = None,
    output: Annotated[
        list[Path] | None,
        typer.Option(
            "--output",
            "-o",
            metavar="OUT",
            help="Write to a file too: .html, .csv or .json; without recordings, the sheet to hand out.",
        ),
    ] = None,
    pages: Annotated[
        Path | None, typer.Option("--pages", metavar="FOLDER", help="Write a page for each student here.")
    ] = None,
    new: Annotated[
        Path | None, typer.Option("--new", metavar="CHART", help="Write a commented chart to fill in.")
    ] = None,
    tolerances: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="How far a student may be off; written with the usual values if new."),
    ] = None,
    names: Annotated[
        str, typer.Option("--names", metavar="PATTERN", help='Whose a file is, by its name: "week3-{student}".')
    ] = "",
    students: Annotated[
        Path | None, typer.Option(metavar="TABLE.csv", help="Whose a file is: columns file and student.")
    ] = None,
    before: Annotated[
        Path | None, typer.Option(metavar="CHECK.json", help="Compare with this earlier check of the same students.")
    ] = None,
    correct: Annotated[
        list[str] | None,
        typer.Option(
            metavar="BAR=right|wrong", help="Your own verdict: 5=right, 5.3=wrong; kept beside the recording."
        ),
    ] = None,
    note: Annotated[str, typer.Option(metavar="TEXT", help="A note to the student, kept beside the recording.")] = "",
    take_back: Annotated[
        list[str] | None,
        typer.Option("--take-back", metavar="BAR|note", help="Take your word back: 5, 5.3, or note for the note."),
    ] = None,
    jobs: Annotated[int, typer.Option("--jobs", metavar="N", help="How many at once; 0 for one a core.")] = 0,
    cluster: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Read on a Dask cluster, whose scheduler is at this address.")
    ] = "",
    left_handed: LeftHandedOption = None,
    as_json: JsonOption = False,
    overwrite: OverwriteOption = False,
    ascii_only: AsciiOption = False,
) -> None:
    """Check students' recordings: what is right, what to work on, and where to listen.

    Everything stays on this machine. A page holds one student's recording and nobody else's.
    """
    from listen.cli.check_output import (
        check_reports,
        leave_if_nothing_was_read,
        print_checked,
        show_class_progress,
        tell_failures,
        tell_passed_over,
        write_handout,
        write_new,
        write_reports,
    )
    from listen.request import (
        CheckAsked,
        find_asked,
        find_demonstration,
        find_tolerances,
        is_left_handed,
        read_set,
        run_check,
    )

    if new is not None:
        files = assigned, recordings, output, pages, tolerances, names, students, before
        if any((*files, correct, note, take_back)):
            raise BadValueError(
                "--new writes a chart to fill in and nothing else: give it alone, then check with the chart."
            )
        write_new(new, overwrite=overwrite)
        return
    assignment, remark = read_set(assigned, overwrite=overwrite)
    if remark:
        print_note(remark)
    is_left = is_left_handed(left_handed)
    if not recordings:
        write_handout(assignment, output or [], overwrite=overwrite, left_handed=is_left, assigned=assigned)
        return
    asked = CheckAsked(
        names, students, before, tuple(correct or ()), note, tuple(take_back or ()), jobs, cluster,
        find_demonstration(assigned),
    )  # fmt: skip
    found = find_asked(recordings, asked)
    tell_passed_over(recordings)
    reads = assigned, tolerances, students, before
    outputs = check_reports(output or [], pages, found, overwrite=overwrite, reads=reads)
    usual, remark = find_tolerances(tolerances)
    if remark:
        print_note(remark)
    checked = run_check(assignment, found, asked, tolerances=usual, progress=show_class_progress(len(found)))
    clear_progress()
    leave_if_nothing_was_read(checked)
    if len(found) == 1 and checked.failures and not as_json:
        raise DocumentError(checked.failures[0].error)
    is_written = write_reports(checked, found, assignment, outputs, pages, left_handed=is_left)
    print_checked(checked, style=find_style(ascii_only=ascii_only), as_json=as_json)
    if as_json:
        tell_failures(checked)
    if not checked.complete:
        again = ", with --overwrite," if (outputs or pages) and not overwrite else ""
        print_note(f"Stopped: what was read is kept, and the same command{again} goes on from there.")
        raise typer.Exit(130)
    if not is_written or (checked.failures and not checked.checks):
        raise typer.Exit(2)
