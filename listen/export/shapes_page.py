"""The places of a chord as a page, and as one drawing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from listen.export.diagram import ELSEWHERE, Labels
from listen.export.markup import escape
from listen.export.page import as_drawing, render_page
from listen.export.shape_sound import MOST_SOUNDS, render_shape_uri
from listen.export.shapes_view import ShapesView
from listen.export.style import TextStyle
from listen.export.svg import FONT, INK, PAPER, render_diagram_svg, size_of_drawing
from listen.instrument import parse_shape

SHEET_WIDTH = 760.0  # px, an A4 sheet within its margins
GAP = 18.0  # px between pictures


def render_shapes_page(view: ShapesView, *, labels: Labels = "finger", with_sound: bool = False) -> str:
    """Render a self-contained HTML document; with sound, each of the first shapes has a player.

    Parameters
    ----------
    view : ShapesView
    labels : "finger", "degree" or "note"
    with_sound : bool
        Whether shapes can be heard: strummed, from the bass to the top, the bass alone.
    """
    body = _body(view, labels)
    if with_sound:
        cards = [card for group in body["groups"] for card in group["cards"]]
        for card in cards[:MOST_SOUNDS]:
            shape = parse_shape(card["frets"], fretboard=view.fretboard)
            card["sound"] = render_shape_uri(shape, view.fretboard)
    return render_page("shapes.html.j2", body)


def render_shapes_fragment(view: ShapesView, *, labels: Labels = "finger") -> str:
    """Render the same without a page around it: HTML for a page of its own, whose marks say where they are."""
    return render_page("shapes_body.html.j2", _body(view, labels, places=True))


def _body(view: ShapesView, labels: Labels, *, places: bool = False) -> dict[str, Any]:
    groups = [
        {
            "title": group.title,
            "n_more": group.n_more,
            "neck": None
            if group.map is None
            else as_drawing(render_diagram_svg(replace(group.map, places=places), ident=f"map{number}")),
            "cards": [
                {
                    "frets": card.frets,
                    "sound": "",
                    "effort": card.effort,
                    "reasons": card.reasons,
                    "remark": card.remark,
                    "caution": card.caution,
                    "other": card.other,
                    "box": as_drawing(
                        render_diagram_svg(replace(card.diagram, places=places), ident=f"box{number}-{place}")
                    ),
                }
                for place, card in enumerate(group.cards)
            ],
        }
        for number, group in enumerate(view.groups)
    ]
    neck = None if view.map is None else as_drawing(render_diagram_svg(replace(view.map, places=places), ident="map"))
    marks = () if view.map is None else view.map.marks
    return {
        "title": TextStyle().plain(view.title),
        "words": view.words,
        "remarks": view.remarks,
        "groups": groups,
        "neck": neck,
        "is_laid": any(mark.form in ELSEWHERE for mark in marks),
        "has_bass": any(mark.form == "bass" for mark in marks),
        "left_handed": view.map is not None and view.map.left_handed,
        "labels": labels,
        "is_comparison": view.is_comparison,
        "strings": view.fretboard.tuning.text,
        "capo_fret": view.fretboard.capo_fret,
    }


def render_shapes_svg(view: ShapesView) -> str:
    """Render every picture of a view on one drawing, in rows."""
    parts: list[str] = []
    x, y, tallest, widest = GAP, 44.0, 0.0, 300.0
    diagrams = [] if view.map is None else [(view.map, "")]
    for group in view.groups:
        if group.map is not None:
            diagrams.append((group.map, group.title))
            continue
        diagrams += [(card.diagram, " · ".join(filter(None, (group.title, card.frets)))) for card in group.cards]
    for number, (diagram, title) in enumerate(diagrams):
        width, height = size_of_drawing(diagram)
        if x > GAP and x + width > SHEET_WIDTH:
            x, y, tallest = GAP, y + tallest + GAP, 0.0
        parts.append(
            f"<g transform='translate({x:.0f} {y:.0f})'><text x='0' y='12' font-weight='600'>{escape(title)}</text>"
            f"<g transform='translate(0 18)'>{render_diagram_svg(diagram, ident=f'd{number}')}</g></g>"
        )
        wide = max(width, 7.0 * len(title))
        x, tallest, widest = x + wide + GAP, max(tallest, height + 18), max(widest, x + wide + GAP)
    height = y + tallest + GAP
    head = (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{widest:.0f}' height='{height:.0f}' "
        f"viewBox='0 0 {widest:.0f} {height:.0f}' {FONT} font-size='12' fill='{INK}' role='group' "
        f"aria-label='{escape(view.title, quote=True)}'>"
    )
    ground = f"<rect width='{widest:.0f}' height='{height:.0f}' fill='{PAPER}'/>"
    title = f"<text x='{GAP}' y='28' font-size='20' font-weight='700'>{escape(view.title)}</text>"
    return "\n".join([head, ground, title, *parts, "</svg>"]) + "\n"
