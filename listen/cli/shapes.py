"""``listen shapes CHORD``: every place where a chord, or some notes, can be held."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import find_style, print_lines, print_note
from listen.cli.options import (
    AsciiOption,
    CapoOption,
    FingerpickedOption,
    JsonOption,
    LeftHandedOption,
    OverwriteOption,
    ReachOption,
    ThumbOption,
    TuningOption,
    WordsOption,
    check_output,
)
from listen.errors import BadValueError, bad_value

if TYPE_CHECKING:
    from listen.export import ShapesView, TextStyle
    from listen.request import ShapesRequest
    from listen.theory import Chord, Pitch

USUAL_SHOWN = 6
MOST_SHOWN = 200  # boxes in one page or drawing; --all in the terminal is a list and has no limit


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command("shapes", cls=Command, short_help="Find every place where a chord can be held.")(shapes)


def shapes(
    *,
    chord: Annotated[
        list[str],
        typer.Argument(
            metavar="CHORD...",
            help='A chord (F#m7b5, D/C, "D: 1 3 6 9"), notes (E3 G3 C4), or chords with commas: C, Am, F, G.',
        ),
    ],
    number: Annotated[
        int | None,
        typer.Option("--shapes", metavar="N", help=f"How many shapes to show, or in each group; else {USUAL_SHOWN}."),
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="List every playable shape.")] = False,
    as_map: Annotated[
        bool, typer.Option("--map", help="Show the neck with every tone of the chord; with --by, shapes laid over it.")
    ] = False,
    by: Annotated[str, typer.Option("--by", metavar="inversion|string-set", help="Arrange the shapes in groups.")] = "",
    compare: Annotated[
        list[str] | None,
        typer.Option("--compare", metavar="CHORD", help="Lay another chord of the same root beside it."),
    ] = None,
    path: Annotated[
        str, typer.Option("--path", metavar="hand|voices", help="What goes least from chord to chord, with commas.")
    ] = "",
    labels: Annotated[
        str, typer.Option("--labels", metavar="finger|degree|note", help="What stands in the marks.")
    ] = "",
    position: Annotated[
        int | None, typer.Option(metavar="FRET", help="In this position: four frets from here on.")
    ] = None,
    frets: Annotated[str, typer.Option(metavar="LOW-HIGH", help="Between these frets; open strings are free.")] = "",
    bass: Annotated[str, typer.Option(metavar="NOTE", help="With this note in the bass.")] = "",
    inversion: Annotated[
        int | None, typer.Option(metavar="N", help="0 root position, 1 the third in the bass, and so on.")
    ] = None,
    strings: Annotated[
        str, typer.Option(metavar="4-2", help="On exactly these strings, 1 the first: 4-2, or 5,3,2.")
    ] = "",
    n_strings: Annotated[int | None, typer.Option("--n-strings", metavar="N", help="On so many strings.")] = None,
    neighbouring: Annotated[bool, typer.Option("--neighbouring", help="On strings side by side only.")] = False,
    all_tones: Annotated[bool, typer.Option("--all-tones", help="With no tone left out.")] = False,
    no_open: Annotated[bool, typer.Option("--no-open", help="Without open strings, so that it can be moved.")] = False,
    no_inner_mutes: Annotated[bool, typer.Option("--no-inner-mutes", help="With no inner string to damp.")] = False,
    top: Annotated[str, typer.Option(metavar="NOTE", help="With this note on top, the melody.")] = "",
    voices: Annotated[str, typer.Option(metavar="KIND", help="close, spread, shell, drop-2 or drop-3.")] = "",
    doubled_third: Annotated[
        bool | None, typer.Option("--doubled-third/--no-doubled-third", help="With the third twice, or at most once.")
    ] = None,
    rootless: Annotated[bool, typer.Option("--rootless", help="Without the root.")] = False,
    reach: ReachOption = None,
    thumb: ThumbOption = None,
    fingerpicked: FingerpickedOption = None,
    tuning: TuningOption = None,
    capo: CapoOption = 0,
    neck_frets: Annotated[
        int | None, typer.Option("--neck", metavar="FRETS", help="How many frets the neck has.")
    ] = None,
    left_handed: LeftHandedOption = None,
    svg: Annotated[Path | None, typer.Option(metavar="OUT.svg", help="Write the pictures as a drawing.")] = None,
    html: Annotated[
        Path | None,
        typer.Option(metavar="OUT.html", help="Write the pictures as a page; by inversion, or with --map, they sound."),
    ] = None,
    as_json: JsonOption = False,
    overwrite: OverwriteOption = False,
    ascii_only: AsciiOption = False,
    in_words: WordsOption = False,
) -> None:
    """Show where a chord can be held, and why one place is easier than another.

    Wide stretches can strain a hand: begin with --reach small, warm up, and stop when it hurts.
    """
    from listen.request import (
        FilterWords,
        ShapesRequest,
        ShapesShown,
        is_left_handed,
        parse_filters,
        parse_fretboard,
        parse_path,
        parse_player,
    )
    from listen.theory import parse_chord
    from listen.voicing import NothingLeftError

    one_chord, pitches, progression = _parse_wanted(" ".join(chord))
    if path and not progression:
        raise bad_value("path", path, allowed="several chords with commas", remedy="Write C, Am, F, G.")
    if every and number is not None:
        raise BadValueError("--all shows every shape: leave out --shapes, or leave out --all.")
    number = USUAL_SHOWN if number is None else number
    if not 1 <= number <= MOST_SHOWN:
        raise bad_value("shapes", number, allowed=f"a number from 1 to {MOST_SHOWN}")
    board = parse_fretboard(tuning, capo, n_frets=neck_frets)
    typed = FilterWords(
        bass=bass, inversion=inversion, strings=strings, n_strings=n_strings, neighbouring=neighbouring,
        position=position, frets=frets, all_tones=all_tones, no_open=no_open, no_inner_mutes=no_inner_mutes,
        top=top, voices=voices, doubled_third=doubled_third, rootless=rootless,
    )  # fmt: skip
    request = ShapesRequest(
        chord=one_chord,
        pitches=pitches,
        compared=tuple(parse_chord(other) for other in compare or ()),
        fretboard=board,
        hand=parse_player(reach=reach, thumb=thumb, fingerpicked=fingerpicked),
        filters=parse_filters(typed, board),
        shown=ShapesShown(by, as_map, labels, number, is_left_handed(left_handed)),
        progression=progression,
        path=parse_path(path or "hand"),
        written=" ".join(chord),
    )
    _check_listed(request, as_json=as_json, every=every, is_pictured=svg is not None or html is not None)
    replaced = {
        path: check_output(path, overwrite=overwrite, endings=endings, option=option)
        for path, endings, option in ((svg, (".svg",), "svg"), (html, (".html", ".htm"), "html"))
        if path is not None
    }
    try:
        if as_json:
            _print_json(request, every=every)
        elif not replaced:
            _print_text(request, every=every, style=find_style(ascii_only=ascii_only, in_words=in_words))
        if replaced:
            view = _arrange(request, n_shapes=MOST_SHOWN if every else number, to_switch=html is not None)
    except NothingLeftError as error:
        asked = {name: text if name in request.filters.asked else f"--by {by}" for name, text in typed.typed.items()}
        raise BadValueError(error.tell(asked)) from error
    for out, allowed in replaced.items():
        _write(out, view, request, is_drawing=out == svg, overwrite=allowed)


def _parse_wanted(text: str) -> tuple[Chord | None, tuple[Pitch, ...], tuple[Chord, ...]]:
    """Read one chord, or else some notes, or else several chords set apart by commas."""
    from listen.request import split_progression
    from listen.theory import Pitch, is_pitch_text, parse_chord

    progression = split_progression(text)
    if progression:
        return None, (), progression
    words = text.replace(",", " ").split()
    if len(words) > 1 and all(is_pitch_text(word) for word in words):  # one word: C6 is a chord
        return None, tuple(Pitch.parse(word) for word in words), ()
    return parse_chord(text), (), ()


def _check_listed(request: ShapesRequest, *, as_json: bool, every: bool, is_pictured: bool) -> None:
    """Refuse a plain list of shapes where something was asked that a list cannot show; pictures may be of them all."""
    from listen.request import refuse_beside_progression

    if request.progression:
        refuse_beside_progression(request, listed="json" if as_json else "all" if every else "")
    listed = "json" if as_json else "all" if every and not is_pictured else ""
    asked = (("map", request.shown.as_map), ("by", bool(request.shown.by)), ("compare", bool(request.compared)))
    other = next((option for option, given in asked if given), "")
    if listed and other:
        raise BadValueError(f"--{listed} lists shapes one by one, without --{other}: leave one of the two out.")


def _print_text(request: ShapesRequest, *, every: bool, style: TextStyle) -> None:
    from listen.document import reasons_text
    from listen.export import effort_text, render_shapes_text
    from listen.request import arrange_shapes, find_pairs

    if every:
        print_lines(
            style.plain(f"{shape.text:<18}{effort_text(fingering.effort):<11}{reasons_text(fingering)}")
            for shape, fingering in find_pairs(request, every=True)
        )
    else:
        view = arrange_shapes(request, n_shapes=request.shown.n_shapes)
        print_lines(render_shapes_text(view, style=style, labels=request.shown_labels))


def _print_json(request: ShapesRequest, *, every: bool) -> None:
    from listen.document import render_document, shapes_to_document
    from listen.request import find_pairs

    text = " ".join(pitch.name for pitch in request.pitches)
    pairs = find_pairs(request, every=every)
    print_lines([render_document(shapes_to_document(request.chord, pairs, request.fretboard, text=text))])


def _arrange(request: ShapesRequest, *, n_shapes: int, to_switch: bool) -> ShapesView:
    from listen.request import arrange_neck, arrange_shapes

    arrange = arrange_neck if _is_neck(request) and to_switch else arrange_shapes
    return arrange(request, n_shapes=n_shapes)


def _is_neck(request: ShapesRequest) -> bool:
    """Tell whether a page of the request is a neck to switch on."""
    return request.shown.as_map and not request.shown.by


def _write(path: Path, view: ShapesView, request: ShapesRequest, *, is_drawing: bool, overwrite: bool) -> None:
    from listen.document import write_file
    from listen.export import render_neck_page, render_shapes_page, render_shapes_svg

    if is_drawing:
        content = render_shapes_svg(view)
    elif _is_neck(request) and request.chord is not None:
        content = render_neck_page(view, request.chord)
    else:  # by inversion it is a sheet to hear inversions from
        content = render_shapes_page(view, labels=request.shown_labels, with_sound=request.shown.by == "inversion")
    write_file(path, content, overwrite=overwrite)
    print_note(f"The {'drawing' if is_drawing else 'page'} was written to {path}.")
