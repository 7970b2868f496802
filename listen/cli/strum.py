"""``listen strum FILE...``: what was strummed in a recording."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import bug_sentence, find_style, print_error, print_lines, print_note, show_progress
from listen.cli.options import (
    AsciiOption,
    CapoOption,
    GuitarOption,
    JsonOption,
    LeftHandedOption,
    OverwriteOption,
    TuningOption,
    WordsOption,
    check_named,
    check_output,
)
from listen.errors import READABLE, ListenError, bad_value

if TYPE_CHECKING:
    from listen.export import StrumView, TextStyle
    from listen.reading import TakeReading

MOST_SHAPES = 50

LISTEN_S = 60.0  # a strum is looked for in a minute from --from on


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command("strum", cls=Command, short_help="Read one strum: its notes, name, bass and shape.")(strum)


def strum(
    *,
    files: Annotated[
        list[str],
        typer.Argument(metavar="FILE...", help=f"Recordings: {READABLE}."),
    ],
    tuning: TuningOption = None,
    capo: CapoOption = 0,
    guitar: GuitarOption = "",
    channel: Annotated[
        str,
        typer.Option(
            metavar="CHANNEL",
            help="Listen to the mix, left, right, side (what left and right do not share), or a channel by its number.",
        ),
    ] = "mix",
    n_shapes: Annotated[int, typer.Option("--shapes", metavar="N", help="How many shapes to show.")] = 3,
    at: Annotated[str, typer.Option(metavar="TIME", help="Read the strum nearest to this time: 4.2 or 1:10.")] = "",
    from_time: Annotated[
        str, typer.Option("--from", metavar="TIME", help="Listen from this time on, for a minute unless --to is given.")
    ] = "",
    to_time: Annotated[str, typer.Option("--to", metavar="TIME", help="Listen up to this time.")] = "",
    why: Annotated[bool, typer.Option("--why", help="Say what ear, hand and book contribute to each shape.")] = False,
    as_json: JsonOption = False,
    report: Annotated[
        Path | None, typer.Option(metavar="OUT.html", help="Write a page with the spectrum, the shapes and players.")
    ] = None,
    overwrite: OverwriteOption = False,
    left_handed: LeftHandedOption = None,
    ascii_only: AsciiOption = False,
    in_words: WordsOption = False,
) -> None:
    """Say which notes a recorded strum sounds, what it is called, what is in the bass and where it was held."""
    from listen.export import StrumView
    from listen.request import check_within, find_guitar, is_left_handed, parse_span, parse_time
    from listen.transcription import StrumSettings, read_recording
    from listen.voicing import FitSettings

    if not 1 <= n_shapes <= MOST_SHAPES:
        raise bad_value("shapes", n_shapes, allowed=f"a number from 1 to {MOST_SHAPES}")
    if report is not None and len(files) > 1:
        raise bad_value("report", report, allowed="one recording a page", remedy="Give one FILE with --report.")
    known, fretboard = find_guitar(guitar, tuning, capo)
    settings = StrumSettings(fretboard=fretboard, fit=FitSettings(guitar=known))
    overwrite = check_output(report, overwrite=overwrite, reads=files, endings=(".html", ".htm"), option="report")
    at_s = parse_time("at", at) if at else None
    style = find_style(ascii_only=ascii_only, in_words=in_words)
    view = StrumView(n_shapes=n_shapes, why=why, left_handed=is_left_handed(left_handed))
    n_read = n_failed = 0
    for place, file in enumerate(files, start=1):
        try:
            with show_progress(place, len(files), file):
                span = parse_span(check_named(file), from_time, to_time, length_s=LISTEN_S)
                if at_s is not None:
                    check_within("at", at, at_s, file, span=span)
                take = read_recording(file, channel=channel, span=span, at_s=at_s, settings=settings)
        except (ListenError, OSError) as error:
            n_failed += 1
            _print_failure(file, error, as_json=as_json, is_one_of_many=len(files) > 1)
            continue
        except Exception as error:  # (a bug of ours, met by one file, must not lose the others)
            n_failed += 1
            _print_failure(file, bug_sentence(error), as_json=as_json, is_one_of_many=len(files) > 1)
            continue
        if as_json:
            _print_json(take, file, n_shapes=n_shapes)
        else:
            _print_text(take, file, view=view, style=style, is_first=n_read == 0)
        n_read += 1
        if report is not None:
            _write_report(take, file, report, view=view, overwrite=overwrite)
    if n_failed:
        raise typer.Exit(2)


def _print_text(take: TakeReading, file: str, *, view: StrumView, style: TextStyle, is_first: bool) -> None:
    from listen.export import render_take_text

    print_lines([*([] if is_first else [""]), *render_take_text(take, style=style, view=view, file=file)])


def _print_json(take: TakeReading, file: str, *, n_shapes: int) -> None:
    from listen.document import render_document, take_to_document

    print_lines([render_document(take_to_document(take, file=file, n_shapes=n_shapes))])


def _print_failure(file: str, error: Exception, *, as_json: bool, is_one_of_many: bool) -> None:
    """Print the sentence on stderr; with --json its object on stdout as well, in the recording's place."""
    from listen.document import failure_to_document, render_document

    if as_json:
        print_lines([render_document(failure_to_document(file, error))])
    names_itself = not is_one_of_many or file in str(error)
    print_error(str(error) if names_itself else f"{file}: {error}")


def _write_report(take: TakeReading, file: str, report: Path, *, view: StrumView, overwrite: bool) -> None:
    from listen.document import write_file
    from listen.export import render_strum_report
    from listen.request import load_strum_sound

    sound = load_strum_sound(take, file)
    page = render_strum_report(take, sound, n_shapes=view.n_shapes, left_handed=view.left_handed)
    write_file(report, page, overwrite=overwrite)
    print_note(f"The report was written to {report}.")
