"""``listen guitar``: guitars that the program has learnt to tell the strings of."""

from __future__ import annotations

from typing import Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import print_lines, print_note
from listen.cli.options import JsonOption, OverwriteOption, TuningOption

NameArgument = Annotated[str, typer.Argument(metavar="NAME", help="What you call the guitar.")]


def add_to(app: typer.Typer) -> None:
    """Register the command and what it can do."""
    guitar = typer.Typer(
        no_args_is_help=True,
        help="Learn a guitar of yours, so that strings are told apart more surely with --guitar NAME.",
    )
    guitar.command("add", cls=Command, short_help="Learn a guitar from a recording of its strings.")(add)
    guitar.command("list", cls=Command)(list_all)
    guitar.command("show", cls=Command)(show)
    guitar.command("remove", cls=Command)(remove)
    app.add_typer(guitar, name="guitar", short_help="Learn a guitar of yours, to tell its strings apart.")


def add(
    name: NameArgument,
    file: Annotated[
        str,
        typer.Argument(metavar="FILE", help="A recording of each open string alone; better, of each at fret 12 too."),
    ],
    *,
    tuning: TuningOption = None,
    channel: Annotated[str, typer.Option(metavar="CHANNEL", help="Listen to the mix, left, right, or side.")] = "mix",
    overwrite: OverwriteOption = False,
) -> None:
    """Learn a guitar from a recording of its strings, one after another, in any order.

    Let each ring for a second or two, and damp it before the next.
    """
    from listen.cli.options import check_named
    from listen.document import check_guitar_name, save_guitar
    from listen.export import render_guitar_text
    from listen.request import parse_fretboard
    from listen.transcription import read_guitar

    check_guitar_name(name, overwrite=overwrite)
    learnt = read_guitar(check_named(file), name=name, tuning=parse_fretboard(tuning, 0).tuning, channel=channel)
    path = save_guitar(learnt.profile, overwrite=overwrite)
    print_lines([*render_guitar_text(learnt.profile), f"kept in {path}"])
    for remark in learnt.remarks:
        print_note(remark)


def list_all() -> None:
    """Name the guitars that were learnt."""
    from listen.document import find_guitar_names, find_guitars_folder, load_guitar
    from listen.errors import ListenError

    names = find_guitar_names()
    for name in names:
        try:
            guitar = load_guitar(name)
        except ListenError as error:
            print_note(str(error))
            continue
        print_lines([f"{guitar.name}  {guitar.tuning.name} tuning, learnt from {guitar.made_from}"])
    if not names:
        print_note(f"No guitar was learnt yet (they are kept in {find_guitars_folder()}).")


def show(name: NameArgument, *, as_json: JsonOption = False) -> None:
    """Show what was learnt of a guitar, string by string."""
    from listen.document import load_guitar, profile_to_document, render_document
    from listen.export import render_guitar_text

    guitar = load_guitar(name)
    print_lines([render_document(profile_to_document(guitar))] if as_json else render_guitar_text(guitar))


def remove(name: NameArgument) -> None:
    """Forget a guitar."""
    from listen.document import remove_guitar

    print_lines([f"{remove_guitar(name)} was removed."])
