"""``listen part FILE``: a whole part, from a recording of seconds to an hour."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import clear_progress, find_style, print_note, write_progress
from listen.cli.options import (
    AsciiOption,
    JsonOption,
    LeftHandedOption,
    OverwriteOption,
    check_named,
)
from listen.errors import READABLE

if TYPE_CHECKING:
    from listen.evidence import TimeSpan
    from listen.reading import Corrected, Part
    from listen.request import HeardRecording, PartAsked
    from listen.transcription import PartSettings


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command("part", cls=Command, short_help="Write down a whole part: bars, chords, shapes.")(part)


def part(
    *,
    file: Annotated[
        str,
        typer.Argument(
            metavar="FILE",
            help=f"A recording: {READABLE}; or a PART.json, to show it again.",
        ),
    ],
    output: Annotated[
        list[Path] | None,
        typer.Option(
            "--output",
            "-o",
            metavar="OUT",
            help="Write a file too: .json, .html, .musicxml, .mid, .csv, .lab, .chart, .tab or .svg; several are fine.",
        ),
    ] = None,
    keep: Annotated[
        Path | None, typer.Option("--keep", metavar="PART.json", help="Keep the pins and corrections of this part.")
    ] = None,
    from_time: Annotated[str, typer.Option("--from", metavar="TIME", help="Read from this time on: 1:10.")] = "",
    to_time: Annotated[str, typer.Option("--to", metavar="TIME", help="Read up to this time.")] = "",
    channel: Annotated[
        str, typer.Option(metavar="CHANNEL", help="Listen to the mix, left, right, side, or a channel by its number.")
    ] = "mix",
    tuning: Annotated[
        str | None, typer.Option(metavar="TUNING", help='Told, not inferred: "drop D", or the strings, sixth first.')
    ] = None,
    capo: Annotated[int | None, typer.Option(metavar="FRET", help="Told, not inferred; 0 for none.")] = None,
    key: Annotated[str | None, typer.Option(metavar="KEY", help='Spell names in one key: "Bb major", F#m.')] = None,
    metre: Annotated[
        str | None, typer.Option(metavar="N/N", help="The metre: 2/4, 3/4, 4/4, 5/4, 6/8, 9/8 or 12/8.")
    ] = None,
    tempo: Annotated[float | None, typer.Option(metavar="BPM", help="Beats a minute.")] = None,
    bar_one: Annotated[
        str | None, typer.Option("--bar-one", metavar="TIME", help="Where bar 1 begins: 0:03.2; the rest moves along.")
    ] = None,
    bar_line: Annotated[
        list[str] | None,
        typer.Option("--bar-line", metavar="TIME", help="Another bar begins here, where a beat was dropped or added."),
    ] = None,
    pin: Annotated[
        list[str] | None,
        typer.Option(metavar="WHERE=FRETS", help="Hold this shape: 12=x32010 (event), 5.3=x32010 (bar and beat)."),
    ] = None,
    rename: Annotated[
        list[str] | None,
        typer.Option(
            "--name",
            metavar="WHERE=CHORD",
            help="Call a chord so, as the chart does: 12=C6/9 (event), 5.3=D (bar and beat), 7=N.C. (event).",
        ),
    ] = None,
    title: Annotated[str | None, typer.Option(metavar="TEXT", help="What the part is called.")] = None,
    section: Annotated[
        list[str] | None,
        typer.Option(metavar="WHERE=NAME", help="A section begins there: 12=Verse (event), 5.1=Verse (bar and beat)."),
    ] = None,
    lyrics: Annotated[
        list[str] | None,
        typer.Option(metavar="WHERE=WORDS", help="Words to sing from there on, by event or by bar and beat."),
    ] = None,
    note: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WHERE=NOTE",
            help="This note sounds, 12=G3 (in the event's whole chord), or not, 5.3=-G3 (to the bar's end); as played.",
        ),
    ] = None,
    bass: Annotated[
        list[str] | None,
        typer.Option(
            metavar="WHERE=NOTE",
            help="The bass, as played over a capo: 12=E2 (of the event's whole chord), 5.3=E2 (to the bar's end).",
        ),
    ] = None,
    full: Annotated[bool, typer.Option("--full", help="Show every stroke, hit and pushed change.")] = False,
    tablature: Annotated[bool, typer.Option("--tablature", help="Print tablature instead of the chart.")] = False,
    numbers: Annotated[
        str | None, typer.Option(metavar="nashville|roman", help="Numbers of the key instead of names.")
    ] = None,
    sounding: Annotated[
        bool, typer.Option("--sounding", help="Names as they sound, not as played over a capo.")
    ] = False,
    as_json: JsonOption = False,
    left_handed: LeftHandedOption = None,
    overwrite: OverwriteOption = False,
    ascii_only: AsciiOption = False,
) -> None:
    """Write down a recorded part: its chords in bars, shapes along one path of the hand, and the setting."""
    from listen.cli.part_output import check_outputs, check_printed, print_part, write_outputs
    from listen.request import PartAsked, find_names, is_left_handed, is_written, parse_span, read_written

    check_printed(as_json=as_json, full=full, tablature=tablature)
    names = find_names(numbers, sounding=sounding)
    outputs = check_outputs(output or [], overwrite=overwrite, reads=[file, *([] if keep is None else [keep])])
    said: dict[Corrected, list[str] | None] = {
        "title": [] if title is None else [title],
        "section": section,
        "lyrics": lyrics,
        "note": note,
        "bass": bass,
    }
    asked = PartAsked(
        tuning, capo, key, metre, tempo, bar_one, tuple(bar_line or ()), tuple(pin or ()), tuple(rename or ()),
        _list_said(said),
    )  # fmt: skip
    if is_written(file):
        read = read_written(file, asked, other_options=(keep, from_time, to_time, channel != "mix"))
        stopped = False
    else:
        span = parse_span(check_named(file), from_time, to_time)
        read = _hear(file, asked, span=span, keep=keep, written=[path for path, _ in outputs], channel=channel)
        stopped = not read.recording.complete
    if stopped:
        _say_stopped(read)
    unprinted = print_part(
        read, style=find_style(ascii_only=ascii_only), names=names, as_json=as_json, full=full, tablature=tablature
    )
    if stopped:  # a part that was read to the end is worth more than one that was not
        for path in [path for path, _ in outputs if path.exists()]:
            print_note(f"{path} was left as it is, since the reading was stopped.")
        outputs = [(path, kind) for path, kind in outputs if not path.exists()]
    all_written = write_outputs(read, file, outputs, names=names, left_handed=is_left_handed(left_handed))
    if unprinted is not None:
        raise unprinted
    if stopped or not all_written:
        raise typer.Exit(130 if stopped else 2)


def _list_said(said: Mapping[Corrected, Sequence[str] | None]) -> tuple[tuple[Corrected, str], ...]:
    """List what is said of events, each with its kind."""
    return tuple((what, text) for what, texts in said.items() for text in texts or ())


def _hear(
    file: str, asked: PartAsked, *, span: TimeSpan | None, keep: Path | None, written: Sequence[Path], channel: str
) -> Part:
    """Read a recording, and show on a terminal how far that is."""
    from listen.document import load_part
    from listen.instrument import Fretboard
    from listen.request import ask_settings, place_settled, read_kept_part
    from listen.transcription import check_range

    start_s = 0.0 if span is None else span.start_s
    ask = partial(
        ask_settings, asked, keep=keep, written=written, start_s=start_s, file=file, load=cache(load_part)
    )  # a part that is kept is read once
    settings = ask()  # what is wrong in it is said before anything is heard
    if settings.tuning is not None:
        check_range(Fretboard(settings.tuning, settings.n_frets, settings.capo_fret or 0))
    _check_told(asked, settings, file)

    def settle(heard: HeardRecording) -> PartSettings:
        return ask(place=lambda before: place_settled(before, heard))

    read = read_kept_part(file, asked, settle, channel=channel, span=span, progress=_show_progress(file, span))
    clear_progress()
    return read


def _say_stopped(read: Part) -> None:
    """Say up to where a part was read that was stopped; leave where that is nothing."""
    if read.recording.span.end_s <= read.recording.span.start_s:
        print_note("Stopped before anything was read; nothing was written.")
        raise typer.Exit(130)
    from listen.reading import clock_text

    print_note(f"Stopped at {clock_text(round(read.recording.span.end_s))}: what was read until then follows.")


def _check_told(asked: PartAsked, settings: PartSettings, file: str) -> None:
    """Refuse bar lines that are told where the recording has ended."""
    from listen.request import check_within

    if asked.bar_one is not None and settings.bar_one_s is not None:
        check_within("bar-one", asked.bar_one, settings.bar_one_s, file)
    for text, time_s in zip(asked.bar_lines, settings.bar_lines_s, strict=False):
        check_within("bar-line", text, time_s, file)


def _show_progress(file: str, span: TimeSpan | None) -> Callable[[float], None] | None:
    """Return what shows, on a terminal, how far the reading is and how long it will take."""
    if not sys.stderr.isatty():
        return None
    from listen.audio import probe_recording
    from listen.reading import clock_text

    duration_s = probe_recording(file).duration_s
    start_s = 0.0 if span is None else span.start_s
    end_s = duration_s if span is None else min(span.end_s, duration_s)
    begun = time.monotonic()

    def show(until_s: float) -> None:
        line = f"heard up to {clock_text(round(until_s))}"
        if start_s < until_s < end_s:
            left = (time.monotonic() - begun) * (end_s - until_s) / (until_s - start_s)
            line += f" of {clock_text(round(end_s))}, about {clock_text(round(left))} left"
        write_progress(line)

    return show
