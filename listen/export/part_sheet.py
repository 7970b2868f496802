"""The sheet of a part: one page to print and to practise from.

Each different shape once, then the chart, then a player that holds the recording and the part on strings. A bar is a
button: it plays, and again, until another is chosen. The page needs no network; its one script is named by its hash in
the page's own policy (W3C, *Content Security Policy Level 3*), so that nothing else on it can run.
"""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from listen.export.bars import LaidPart, lay_bars
from listen.export.chart_drawing import chart_content
from listen.export.chart_remarks import near_rivals, other_settings, span_remarks, stop_remarks
from listen.export.diagram import shape_to_diagram
from listen.export.doubts import doubt_text, find_doubts
from listen.export.head import head_facts
from listen.export.held_names import HeldNames, NameStyle
from listen.export.labels import printed
from listen.export.listed_shapes import call_by_shape, find_rarer_places, list_first_spans
from listen.export.markup import escape_for_style
from listen.export.page import as_drawing, render_page
from listen.export.shapes_page import render_shapes_svg
from listen.export.shapes_view import ShapeSection, ShapesView, shape_to_card
from listen.export.style import TextStyle
from listen.export.svg import render_diagram_svg
from listen.export.tablature import tablature_staves
from listen.export.tempo_marks import drop_marked_tempi
from listen.export.told_words import find_title
from listen.export.words import caution_for
from listen.reading import ChordSpan, Part, ShapeReading, clock_text

SHEET_RATE_HZ = 22_050
MOST_SOUND_BYTES = 25_000_000  # as MP3: about 25 minutes of two channels
CHOOSE_BAR = "Choose a bar to hear it, to see what was held, and to put it right."
CHOOSE_BAR_TO_PLAY = "Choose a bar to hear it again and again."
SHEET_WIDTH = 84  # columns of tablature that fit on paper


@dataclass(frozen=True, slots=True)
class SheetSound:
    """What the player plays.

    Parameters
    ----------
    mp3 : bytes
        From the start of the part's stretch; two channels are the recording and the part on strings.
    is_beside : bool
        Whether it holds the recording, too.
    cut_s : float or None
        After how many seconds it was cut off, since a page takes :data:`MOST_SOUND_BYTES`; None where it is whole.
    """

    mp3: bytes
    is_beside: bool
    cut_s: float | None = None


def render_part_sheet(
    part: Part, *, sound: SheetSound | None = None, names: NameStyle = "played", left_handed: bool = False
) -> str:
    """Render a part as a self-contained HTML page.

    Parameters
    ----------
    part : Part
    sound : SheetSound or None
        Without it the page has no player.
    names : "played", "sounding", "nashville" or "roman"
    left_handed : bool
    """
    script = _script()
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    is_beside = sound is not None and sound.is_beside
    laid = lay_bars(part)
    return render_page(
        "part.html.j2",
        {
            **_body(laid, names=names, left_handed=left_handed),
            "is_alive": False,
            "choose_words": "" if sound is None else CHOOSE_BAR_TO_PLAY,
            "title_in_style": as_drawing(escape_for_style(find_title(part))),
            "sound": None if sound is None else _sound_uri(sound),
            "sound_words": _sound_words(sound, is_beside=is_beside),
            "is_beside": is_beside,
            "first_number": laid.played[0].number if laid.played else 1,
            "last_number": laid.played[-1].number if laid.played else 1,
            "script": as_drawing(script),
            "script_hash": f"sha256-{digest}",
        },
    )


def render_part_fragment(
    part: Part, *, names: NameStyle = "played", left_handed: bool = False, is_growing: bool = False
) -> str:
    """Render what a sheet holds, without a page around it and without a player: HTML for a page that has its own.

    The chart, where one works, comes before the shapes.

    A part that is still being read is growing: nobody stopped it where it ends so far.
    """
    body = _body(lay_bars(part), names=names, left_handed=left_handed, is_growing=is_growing)
    return render_page("part_body.html.j2", {**body, "is_alive": True, "choose_words": CHOOSE_BAR})


def _body(laid: LaidPart, *, names: NameStyle, left_handed: bool, is_growing: bool = False) -> dict[str, Any]:
    part = laid.part
    called = HeldNames(part, names)
    held = [span.shape for span in list_first_spans(laid) if span.shape is not None]
    return {
        "title": find_title(part),
        "facts": sheet_facts(laid, called),
        "remarks": [*sheet_remarks(laid, called), *([] if is_growing else stop_remarks(part))],
        "shapes": sheet_shapes(laid, called, left_handed=left_handed),
        "cautions": sorted({text for shape in held if (text := caution_for(shape.fingering))}),
        **chart_content(laid, called),
        "staves": tablature_staves(laid, style=TextStyle(width=SHEET_WIDTH), names=names),
        "staves_open": any(event.kind in {"line", "picked"} for event in part.events),
        "capo_fret": part.fretboard.capo_fret,
    }


def render_part_boxes(part: Part, *, names: NameStyle = "played", left_handed: bool = False) -> str:
    """Render each different shape of a part once, as one SVG drawing."""
    called = HeldNames(part, names)
    groups = []
    for span in list_first_spans(lay_bars(part)):
        if span.shape is not None:
            card = shape_to_card(
                span.shape.shape,
                part.fretboard,
                fingering=span.shape.fingering,
                chord=None if span.name is None else span.name.chord,
                left_handed=left_handed,
            )
            groups.append(ShapeSection(called.of_span(span), (card,)))
    title = find_title(part)
    return render_shapes_svg(ShapesView(title, "", part.fretboard, tuple(groups)))


@cache
def _script() -> str:
    return files("listen.export").joinpath("templates", "part.js").read_text("utf-8")


def sheet_facts(laid: LaidPart, names: HeldNames) -> list[tuple[str, str]]:
    """Return the head of a sheet, as labels and values."""
    return [*head_facts(laid, names), ("Strings", _strings(laid.part))]


def _strings(part: Part) -> str:
    return " ".join(printed(pitch.name) for pitch in part.fretboard.tuning.open_strings)


def sheet_remarks(laid: LaidPart, names: HeldNames) -> list[str]:
    """Return what is to be said of a part besides its chart."""
    part = laid.part
    doubted = doubt_text(find_doubts(part, names))
    remarks = [
        *drop_marked_tempi(part.warnings, laid.played),
        *span_remarks(part),
        *other_settings(part),
        *near_rivals(laid),
        *([doubted] if doubted else []),
    ]
    if any(event.kind == "unread" for event in part.events):
        remarks.append("Hatched bars could not be read: listen to them.")
    return remarks


def sheet_shapes(laid: LaidPart, names: HeldNames, *, left_handed: bool = False) -> list[dict[str, Any]]:
    """Return each different shape once: ``name``, ``sounds``, ``frets``, ``place`` of a rarer one, ``box`` (SVG)."""
    rarer = find_rarer_places(laid)
    return [
        {
            **_shape(
                call_by_shape(span, laid.part),
                span.shape,
                laid.part,
                names,
                ident=f"shape{at}",
                left_handed=left_handed,
            ),
            "place": "" if span.name is None else rarer.get((span.name.text, span.shape.shape), ""),
        }
        for at, span in enumerate(list_first_spans(laid))
        if span.shape is not None
    ]


def _shape(
    span: ChordSpan, shape: ShapeReading, part: Part, names: HeldNames, *, ident: str, left_handed: bool
) -> dict[str, Any]:
    text = names.of_span(span)
    sounds = "" if span.name is None else HeldNames(part, "sounding").of_span(span)
    diagram = shape_to_diagram(
        shape.shape,
        part.fretboard,
        fingering=shape.fingering,
        chord=None if span.name is None else span.name.chord,
        title=f"{text}, {shape.shape.text}",
        left_handed=left_handed,
    )
    return {
        "name": text,
        "sounds": "" if sounds == text else sounds,
        "frets": shape.shape.text,
        "box": as_drawing(render_diagram_svg(diagram, ident=ident)),
    }


def _sound_words(sound: SheetSound | None, *, is_beside: bool) -> str:
    if sound is None:
        return ""
    what = "The recording (left) and the part on strings (right)." if is_beside else "The part on strings."
    if sound.cut_s is not None:
        what = f"{what[:-1]}, up to {clock_text(sound.cut_s)}: a page holds {MOST_SOUND_BYTES // 10**6} MB of sound."
    return what


def _sound_uri(sound: SheetSound) -> str:
    """Return the sound as a data URI (RFC 2397)."""
    return f"data:audio/mpeg;base64,{base64.b64encode(sound.mp3).decode('ascii')}"
