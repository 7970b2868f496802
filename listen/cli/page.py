"""``listen page``: work a recording through in a browser, on this machine alone."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import print_lines, print_note


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command("page", cls=Command, short_help="Work a recording through in a browser: hear, see, correct.")(page)


def page(
    *,
    files: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="[FILE...]",
            help="Recordings, or a PART.json to work on where it lies; or a chart, and a class's recordings of it.",
        ),
    ] = None,
    library: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Where recordings and parts are kept; else the usual folder.")
    ] = None,
    port: Annotated[int | None, typer.Option(metavar="N", help="Listen on this port; 0 for any that is free.")] = None,
    no_open: Annotated[bool, typer.Option("--no-open", help="Print the address and open no browser.")] = False,
) -> None:
    """Open a page to work at: it hears, shows the neck, and takes corrections. Nothing leaves this machine.

    The address that is printed lets one browser in; stop with Ctrl+C.
    """
    from listen.cli.check_output import tell_passed_over
    from listen.request import CHART_ENDINGS, Library, bring_homework, bring_to_library, find_library_folder
    from listen.web import PageSettings, serve_page

    folder = (library or find_library_folder()).absolute()
    show, rest = "", files or []
    if rest and rest[0].suffix.lower() in CHART_ENDINGS:
        show = f"/homework/{bring_homework(Library(folder), rest[0], rest[1:]).ident}"
        tell_passed_over(rest[1:])
        rest = []
    for file in rest:
        show = f"/take/{bring_to_library(Library(folder), file).ident}"

    def say(address: str) -> None:
        print_note(f"Recordings and parts are kept in {folder}. Stop with Ctrl+C.")
        print_lines([address])

    serve_page(PageSettings(folder, port, not no_open, show), say=say)
