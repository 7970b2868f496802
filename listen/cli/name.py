"""``listen name FRETS``: what a shape, or some notes, are called."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import find_style, print_lines
from listen.cli.options import (
    AsciiOption,
    CapoOption,
    JsonOption,
    LeftHandedOption,
    TuningOption,
    WordsOption,
)
from listen.errors import BadValueError, bad_value

if TYPE_CHECKING:
    from listen.export import TextStyle
    from listen.instrument import Fretboard
    from listen.reading import ChordName
    from listen.theory import Note

_NOTE_WORD = re.compile(r"[A-Ga-g](?:#|b|♯|♭)?")


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command(
        "name",
        cls=Command,
        short_help="Name a shape, or some notes.",
        context_settings={"ignore_unknown_options": True},
    )(name)


def name(
    *,
    frets: Annotated[
        list[str],
        typer.Argument(
            metavar="FRETS...", help="x32010, x-10-12-12-11-x with frets of two digits, or notes: C3 E3 G3."
        ),
    ],
    tuning: TuningOption = None,
    capo: CapoOption = 0,
    n_names: Annotated[int, typer.Option("--names", metavar="N", help="How many names to give.")] = 5,
    rootless: Annotated[bool, typer.Option("--rootless", help="Give names whose root does not sound, too.")] = False,
    as_json: JsonOption = False,
    left_handed: LeftHandedOption = None,
    ascii_only: AsciiOption = False,
    in_words: WordsOption = False,
) -> None:
    """Name a shape by its frets: degrees, inversion, other readings, and the chords one finger away."""
    from listen.request import is_left_handed, parse_fretboard
    from listen.theory import is_pitch_text

    if not 1 <= n_names <= 50:
        raise bad_value("names", n_names, allowed="a number from 1 to 50")
    style = find_style(ascii_only=ascii_only, in_words=in_words)
    words = " ".join(frets).replace(",", " ").split()
    if words and all(is_pitch_text(word) for word in words):
        if as_json:
            raise bad_value("json", " ".join(words), allowed="a shape", remedy="Give frets such as x32010.")
        _print_notes(words, n_names=n_names, rootless=rootless, style=style)
        return
    _refuse_chords(words)
    if words and all(_NOTE_WORD.fullmatch(word) for word in words):
        raise bad_value("notes", " ".join(words), allowed="notes with their octaves", remedy="Write C3 E3 G3.")
    _print_shape(
        frets,
        parse_fretboard(tuning, capo),
        n_names=n_names,
        rootless=rootless,
        as_json=as_json,
        left_handed=is_left_handed(left_handed),
        style=style,
    )


def _refuse_chords(words: Sequence[str]) -> None:
    """Say where chords are looked up that were typed in place of frets; letters alone may be notes without octaves."""
    from listen.theory import parse_chord

    if len(words) > 1 and all(_NOTE_WORD.fullmatch(word) for word in words):
        return
    try:
        chords = [parse_chord(word) for word in words if word[0] in "ABCDEFG"]
    except BadValueError:
        return
    if words and len(chords) == len(words):
        shown = "where that chord is held" if len(words) == 1 else "where those chords are held"
        raise bad_value(
            "frets", " ".join(words), allowed="frets such as x32010, or notes such as C3 E3 G3",
            remedy=f"'listen shapes {', '.join(words)}' shows {shown}.",
        )  # fmt: skip


def _print_notes(words: Sequence[str], *, n_names: int, rootless: bool, style: TextStyle) -> None:
    """Print the names of notes that lie on no particular shape."""
    from listen.export import render_notes_name_text
    from listen.harmony import rank_names, rank_rootless
    from listen.theory import Note, Pitch

    pitches = sorted(Pitch.parse(word) for word in words)
    typed = [Note.parse(word.rstrip("-0123456789")) for word in words]
    names = _spell_as_typed(rank_names(pitches, limit=n_names), typed)
    absent = _spell_as_typed(rank_rootless(pitches), typed) if rootless else ()
    print_lines(render_notes_name_text(pitches, names, style=style, typed=words, rootless=absent))


def _print_shape(
    frets: Sequence[str],
    board: Fretboard,
    *,
    n_names: int,
    rootless: bool,
    as_json: bool,
    left_handed: bool,
    style: TextStyle,
) -> None:
    """Print the names of a shape, how it is held, and the chords one finger away."""
    from listen.document import names_to_document, render_document
    from listen.export import render_name_text
    from listen.harmony import find_neighbours, name_played, rank_names_on, rank_rootless
    from listen.instrument import best_fingering
    from listen.request import parse_one_shape

    shape = parse_one_shape(frets, board)
    sounding = [pitch for pitch in shape.pitches(board) if pitch is not None]
    names = name_played(rank_names_on(board.tuning, sounding, limit=n_names), board)
    absent = name_played(rank_rootless(sounding), board) if rootless else ()
    fingering = best_fingering(shape, board)
    neighbours = find_neighbours(shape, board)
    if as_json:
        document = names_to_document(shape, board, (*names, *absent), fingering=fingering, neighbours=neighbours)
        print_lines([render_document(document)])
        return
    print_lines(
        render_name_text(
            shape,
            board,
            names,
            fingering=fingering,
            style=style,
            neighbours=neighbours,
            rootless=absent,
            left_handed=left_handed,
        )
    )


def _spell_as_typed(names: Sequence[ChordName], typed: list[Note]) -> tuple[ChordName, ...]:
    from listen.theory import spell_as_typed

    return tuple(replace(name, chord=spell_as_typed(name.chord, typed)) for name in names)
