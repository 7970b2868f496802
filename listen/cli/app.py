"""The command line's one application: which commands there are, and what happens when one fails.

A command lives in a file of its own, with a function ``add_to(app)`` that registers it. Whatever a user can cause is a
:class:`~listen.errors.ListenError`; it is printed as one line on stderr and ends with status 2, as a mistyped option
does. Command files import numpy and everything heavier inside their functions, so that help comes at once.
"""

from __future__ import annotations

import os
import re
import sys
from typing import Annotated, Any, NoReturn, cast

import typer
from typer.core import TyperGroup

from listen.cli import check, guitar, name, page, part, play, practise, settings, shapes, strum
from listen.cli.console import discard_output, print_error
from listen.cli.ending import STOPPED, end_by_exception, tell_stopped
from listen.errors import ListenError

COMMANDS = (strum, part, page, check, shapes, name, play, practise, guitar, settings)  # in the order of the help
UsageError = cast("type[Exception]", typer.BadParameter.__mro__[1])  # typer gives it no name of its own


class _Group(TyperGroup):
    """Runs a command; an error of the user's becomes one sentence and status 2."""

    def make_context(self, *args: Any, **kwargs: Any) -> Any:
        try:
            return super().make_context(*args, **kwargs)
        except UsageError as error:
            _print_usage_error(error)

    def invoke(self, ctx: Any) -> Any:
        try:
            return super().invoke(ctx)
        except UsageError as error:
            _print_usage_error(error)
        except ListenError as error:
            print_error(str(error))
            raise typer.Exit(2) from error
        except KeyboardInterrupt as error:
            tell_stopped()
            raise typer.Exit(STOPPED) from error


_DECIMAL_COMMA = re.compile(r"'(-?\d+),(\d+)' is not a number")


def _print_usage_error(error: Any) -> NoReturn:
    """Say in one sentence what was mistyped, and where help is."""
    message = error.format_message().strip()
    if "\n" in message:  # nothing was typed, and the help is shown
        raise error
    for word, plain in (("a valid int", "a whole number"), ("a valid float", "a number")):
        message = message.replace(word, plain)
    comma = _DECIMAL_COMMA.search(message)
    if comma is not None:
        message = f"{message.rstrip('.')}: write it with a point, {comma[1]}.{comma[2]}"
    command = error.ctx.command_path if error.ctx is not None else "listen"
    print_error(f"{message.rstrip('.')}; '{command} --help' shows what there is.")
    raise typer.Exit(2) from error


def make_app() -> typer.Typer:
    """Make the application with all its commands."""
    app = typer.Typer(
        name="listen",
        help="Hear a recorded guitar: the notes, the name, the bass and the shape of a strum, or a whole part.",
        cls=_Group,
        add_completion=False,
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback()(_listen)
    for command in COMMANDS:
        command.add_to(app)
    return app


def run() -> None:
    """Run the command line."""
    end_by_exception()
    _open_standard_streams()
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:  # a file name may hold what the terminal's encoding does not
            reconfigure(errors="replace")
    try:
        make_app()(prog_name="listen")
    except OSError as error:  # help on a full disk, a working folder that is gone
        discard_output()
        what = f"{error.filename}: " if error.filename else ""
        print_error(f"{what}{error.strerror or error}. Go to a folder that is there, or make room, and try again.")
        sys.exit(2)
    except MemoryError:
        print_error("There is not enough memory for this; close other programs, or ask for a shorter stretch.")
        sys.exit(2)


def _open_standard_streams() -> None:
    """Open on nothing what the shell closed (``>&-``): a file opened later must not be taken for standard output."""
    for number, called in enumerate(("stdin", "stdout", "stderr")):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest free number, which is this one
        if getattr(sys, called) is None:
            setattr(sys, called, os.fdopen(number, "w" if number else "r", encoding="utf-8"))


def _show_version(wanted: bool) -> None:
    if wanted:
        from listen import __version__

        typer.echo(f"listen {__version__}")
        raise typer.Exit


def _listen(
    _version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    pass
