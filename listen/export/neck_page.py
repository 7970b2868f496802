"""One neck to look at and to hear: every tone of a chord, or its shapes by inversion or by strings, by a switch.

A self-contained page. Without JavaScript its views stand one below the other.
"""

from __future__ import annotations

import base64
import hashlib
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

from listen.export.diagram import Diagram, relabel_marks
from listen.export.page import as_drawing, render_page
from listen.export.shape_sound import MOST_STRUMS, render_strum_uri
from listen.export.shapes_view import ShapeSection, ShapesView
from listen.export.style import TextStyle
from listen.export.svg import render_diagram_svg
from listen.instrument import Shape, parse_shape
from listen.theory import Chord


def render_neck_page(view: ShapesView, chord: Chord) -> str:
    """Render the page.

    Parameters
    ----------
    view : ShapesView
        With a map of every tone, and groups whose shapes are laid over one each.
    chord : Chord
        Names degrees and notes.
    """
    sounds: dict[str, str] = {}
    maps = [("every tone", view.map, None), *((group.title, group.map, group) for group in view.groups)]
    views = [
        {
            "title": title,
            "necks": _draw_necks(diagram, chord, ident=f"neck{number}"),
            "shapes": [] if group is None else _list_shapes(group, view, sounds),
        }
        for number, (title, diagram, group) in enumerate(maps)
        if diagram is not None
    ]
    script = _script()
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    return render_page(
        "neck.html.j2",
        {
            "title": TextStyle().plain(view.title),
            "words": view.words,
            "remarks": view.remarks,
            "views": views,
            "left_handed": view.map is not None and view.map.left_handed,
            "strings": view.fretboard.tuning.text,
            "capo_fret": view.fretboard.capo_fret,
            "script": as_drawing(script),
            "script_hash": f"sha256-{digest}",
        },
    )


def _draw_necks(diagram: Diagram, chord: Chord, *, ident: str) -> list[tuple[str, Any]]:
    """Draw a neck with its degrees and one with its notes."""
    return [
        (
            labels,
            as_drawing(
                render_diagram_svg(
                    replace(relabel_marks(diagram, chord, labels=labels), places=True), ident=f"{ident}-{labels}"
                )
            ),
        )
        for labels in ("degree", "note")
    ]


def _list_shapes(group: ShapeSection, view: ShapesView, sounds: dict[str, str]) -> list[dict[str, str]]:
    """List a group's shapes with their sounds; a shape that comes again is rendered once."""
    listed = []
    for card in group.cards:
        shape = parse_shape(card.frets, fretboard=view.fretboard)
        if card.frets not in sounds and len(sounds) < MOST_STRUMS:
            sounds[card.frets] = render_strum_uri(shape, view.fretboard)
        words = f"{card.remark or card.effort}{'; a wide stretch' if card.caution else ''}"
        listed.append(
            {"frets": card.frets, "places": _places(shape), "words": words, "sound": sounds.get(card.frets, "")}
        )
    return listed


def _places(shape: Shape) -> str:
    """Return string and fret of each sounding string, as the drawing's marks name theirs."""
    n_strings = len(shape.frets)
    return " ".join(f"{n_strings - index}:{fret}" for index, fret in enumerate(shape.frets) if fret is not None)


@cache
def _script() -> str:
    return files("listen.export").joinpath("templates", "neck.js").read_text("utf-8")
