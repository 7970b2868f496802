"""Diagrams drawn as SVG, for a page or for paper.

Conventions: see :mod:`listen.export.diagram` for the design. Units are CSS pixels. Wires stand where the 12-tone rule
puts them; strings lie further apart than on the instrument so that a mark can be read. Roots are filled squares, other
tones rings, tones that differ diamonds, dropped tones dashed rings; every drawing has a title and a description
(SVG 1.1, section 5.4, https://www.w3.org/TR/SVG11/struct.html#DescriptionAndTitleElements).
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.export.diagram import INLAY_FRETS, Diagram, PlaceMark
from listen.export.labels import printed
from listen.export.markup import escape
from listen.export.svg_label import draw_label

INK, PAPER, WOOD, WIRE, ACCENT, QUIET = "#1d2b2a", "#ffffff", "#f3ead9", "#9a8f7d", "#0b5f59", "#5c6664"
STRING_GAP = 22.0  # px between strings
MARK_RADIUS = 9.0  # px, room for two letters
WIDE_RADIUS = 10.0  # px, room for three
OPEN_RADIUS = 6.5  # px, of an empty mark
BASS_RING = 3.5  # px, around a mark
BARRE_WIDTH = 2 * MARK_RADIUS + 5.0  # px: a rim on each side of the marks that lie on it
NARROWEST_FRET = 25.0  # px: a mark and a little wood on each side
NARROWEST_OF_NECK = 21.0  # px, where more than the octave is shown: a mark, so that letters stay large on a page
OCTAVE = 12
FONT = "font-family='ui-sans-serif, system-ui, sans-serif'"


def render_diagram_svg(diagram: Diagram, *, ident: str) -> str:
    """Draw a chord box or a neck.

    Parameters
    ----------
    diagram : Diagram
    ident : str
        Unique on the page; the title and description are tied to the drawing by it.

    Returns
    -------
    str
        One ``<svg>`` element; every text in it is escaped.
    """
    plan = _Plan(diagram)
    head = (
        f"<svg role='img' width='{plan.width:.0f}' height='{plan.height:.0f}' "
        f"viewBox='0 0 {plan.width:.1f} {plan.height:.1f}' aria-labelledby={_quoted(f'{ident}-title {ident}-text')} "
        f"{FONT} font-size='12' text-anchor='middle'>"
    )
    parts = [
        head,
        f"<title id={_quoted(f'{ident}-title')}>{escape(diagram.title or 'Part of the neck')}</title>",
        f"<desc id={_quoted(f'{ident}-text')}>{escape(diagram.description)}</desc>",
        *_draw_wood(plan),
        *_draw_strings(plan),
        *_draw_barres(plan),
        *(_draw_mark(plan, mark) for mark in diagram.marks),
        *_draw_numbers(plan),
        "</svg>",
    ]
    return "\n".join(part for part in parts if part)


def size_of_drawing(diagram: Diagram) -> tuple[float, float]:
    """Return the width and height of a diagram's drawing."""
    plan = _Plan(diagram)
    return plan.width, plan.height


class _Plan:
    """Where everything of one diagram stands, in pixels."""

    def __init__(self, diagram: Diagram) -> None:
        board = diagram.fretboard
        self.diagram = diagram
        self.at_nut = diagram.first_fret == 1
        zero = board.wire_mm(diagram.first_fret - 1)
        last, before = board.wire_mm(diagram.last_fret), board.wire_mm(diagram.last_fret - 1)
        is_neck = diagram.last_fret - diagram.first_fret >= OCTAVE
        scale = (NARROWEST_OF_NECK if is_neck else NARROWEST_FRET) / (last - before)
        self.offsets = tuple(
            (board.wire_mm(fret) - zero) * scale for fret in range(diagram.first_fret - 1, diagram.last_fret + 1)
        )
        self.margin, self.top = 44.0, 14.0
        self.length = self.offsets[-1]
        self.width = self.margin + self.length + 10
        self.breadth = STRING_GAP * (board.n_strings - 1)
        has_open = any(mark.fret == 0 for mark in diagram.marks)
        self.says_capo = bool(board.capo_fret) and (self.at_nut or has_open)  # open strings sound from it
        self.height = self.top + self.breadth + 32 + (14 if self.says_capo else 0)

    def x(self, offset: float) -> float:
        """Return the place of a distance from the nut side of the window; mirrored for a left hand."""
        return self.width - self.margin - offset if self.diagram.left_handed else self.margin + offset

    def y(self, string_index: int) -> float:
        """Return the height of a string; the first string is on top."""
        return self.top + STRING_GAP * (self.diagram.fretboard.n_strings - 1 - string_index)

    def middle(self, fret: int) -> float:
        """Return the place between a fret's two wires; open strings stand before the nut."""
        if fret == 0:
            return self.x(-15)
        at = fret - self.diagram.first_fret
        return self.x((self.offsets[at] + self.offsets[at + 1]) / 2)


def _draw_wood(plan: _Plan) -> list[str]:
    board, first = plan.diagram.fretboard, plan.diagram.first_fret
    left, edge = min(plan.x(0), plan.x(plan.length)), STRING_GAP / 2
    middle = plan.top + plan.breadth / 2
    wood = f"x='{left:.1f}' y='{plan.top - edge:.1f}' width='{plan.length:.1f}' height='{plan.breadth + 2 * edge:.1f}'"
    parts = [f"<rect {wood} fill='{WOOD}'/>"]
    for fret in range(first, plan.diagram.last_fret + 1):
        counted = fret + board.capo_fret
        if counted in INLAY_FRETS:
            pair = (-STRING_GAP, STRING_GAP) if counted % 12 == 0 else (0.0,)
            parts += [
                f"<circle cx='{plan.middle(fret):.1f}' cy='{middle + at:.1f}' r='4' fill='#dccfb6'/>" for at in pair
            ]
    for at, offset in enumerate(plan.offsets):
        nut = at == 0 and plan.at_nut
        color, wide = (INK, 8 if board.capo_fret else 4) if nut else (WIRE, 1.5)
        parts.append(
            f"<line x1='{plan.x(offset):.1f}' x2='{plan.x(offset):.1f}' y1='{plan.top - edge:.1f}' "
            f"y2='{plan.top + plan.breadth + edge:.1f}' stroke='{color}' stroke-width='{wide}'/>"
        )
    return parts


def _draw_strings(plan: _Plan) -> list[str]:
    parts = []
    lowest = min(pitch.midi for pitch in plan.diagram.fretboard.tuning.open_strings)
    for index, pitch in enumerate(plan.diagram.fretboard.tuning.open_strings):
        silent = index in plan.diagram.unplayed
        y = plan.y(index)
        thick = max(0.8, 2.4 - (pitch.midi - lowest) / 16)
        dashes = " stroke-dasharray='2 4'" if silent else ""
        name = printed(pitch.name.rstrip("-0123456789"))
        parts.append(
            f"<line x1='{plan.x(0):.1f}' x2='{plan.x(plan.length):.1f}' y1='{y:.1f}' y2='{y:.1f}' "
            f"stroke='{INK}' stroke-width='{thick:.1f}'{dashes}/>"
        )
        parts.append(f"<text x='{plan.x(-36):.1f}' y='{y + 4:.1f}' fill='{QUIET}' font-size='11'>{name}</text>")
        if silent:
            parts.append(_cross(plan.x(-15), y))
    return parts


def _cross(x: float, y: float) -> str:
    return f"<path d='M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8' stroke='{INK}' stroke-width='1.8' fill='none'/>"


def _draw_barres(plan: _Plan) -> list[str]:
    parts = []
    for barre in plan.diagram.barres:
        if not plan.diagram.first_fret <= barre.fret <= plan.diagram.last_fret:
            continue
        x = plan.middle(barre.fret)
        parts.append(
            f"<line x1='{x:.1f}' x2='{x:.1f}' y1='{plan.y(barre.first_string):.1f}' "
            f"y2='{plan.y(barre.last_string):.1f}' stroke='{ACCENT}' stroke-width='{BARRE_WIDTH}' "
            f"stroke-linecap='round' opacity='.6'/>"
        )
    return parts


def _draw_mark(plan: _Plan, mark: PlaceMark) -> str:
    if mark.fret and not plan.diagram.first_fret <= mark.fret <= plan.diagram.last_fret:
        return ""
    x, y, r = plan.middle(mark.fret), plan.y(mark.string_index), _radius(mark.label)
    look = _LOOKS[mark.form]
    style = f"fill='{look.fill}' stroke='{look.stroke}' stroke-width='2'{look.extra}"
    if mark.form in ("root", "held root", "sounded root", "elsewhere root"):
        figure = f"<rect x='{x - r:.1f}' y='{y - r:.1f}' width='{2 * r}' height='{2 * r}' rx='2' {style}/>"
    elif mark.form == "changed":
        far = r + 3
        figure = f"<path d='M{x - far:.1f} {y:.1f}l{far} -{far}l{far} {far}l-{far} {far}z' {style}/>"
    else:
        figure = f"<circle cx='{x:.1f}' cy='{y:.1f}' r='{r}' {style}/>"
        if mark.form == "bass":
            figure = f"<circle cx='{x:.1f}' cy='{y:.1f}' r='{r + BASS_RING}' {style}/>{figure}"
    if mark.label:
        figure += draw_label(x, y, mark.label, color=look.text)
    if not plan.diagram.places:
        return figure
    place = f"data-string='{plan.diagram.fretboard.n_strings - mark.string_index}' data-fret='{mark.fret}'"
    return f"<g class='place {mark.form.replace(' ', '-')}' {place}>{figure}</g>"


def _radius(label: str) -> float:
    return OPEN_RADIUS if not label else MARK_RADIUS if len(label) < 3 else WIDE_RADIUS


@dataclass(frozen=True, slots=True)
class _Look:
    fill: str
    stroke: str
    text: str
    extra: str = ""


DOTS = " stroke-dasharray='1 3' stroke-linecap='round'"
_LOOKS = {
    "tone": _Look(PAPER, ACCENT, INK),
    "root": _Look(INK, INK, PAPER),
    "bass": _Look(PAPER, ACCENT, INK),
    "changed": _Look(PAPER, ACCENT, INK),
    "gone": _Look(WOOD, QUIET, QUIET, " stroke-dasharray='3 2'"),
    "sounded": _Look(ACCENT, ACCENT, PAPER),
    "sounded root": _Look(INK, INK, PAPER),
    "held": _Look(PAPER, ACCENT, INK),
    "held root": _Look(PAPER, INK, INK),
    "elsewhere": _Look(WOOD, QUIET, QUIET, DOTS),
    "elsewhere root": _Look(WOOD, QUIET, QUIET, DOTS),
}


def _draw_numbers(plan: _Plan) -> list[str]:
    board, first, last = plan.diagram.fretboard, plan.diagram.first_fret, plan.diagram.last_fret
    y = plan.top + plan.breadth + STRING_GAP / 2 + 14
    parts = [
        f"<text x='{plan.middle(fret):.1f}' y='{y:.1f}' fill='{QUIET}' font-size='11'>{fret}</text>"
        for fret in range(first, last + 1)
    ]
    if plan.says_capo:
        anchor = "end" if plan.diagram.left_handed else "start"
        parts.append(
            f"<text x='{plan.x(-24):.1f}' y='{y + 14:.1f}' fill='{QUIET}' font-size='11' text-anchor='{anchor}'>"
            f"capo at fret {board.capo_fret}</text>"
        )
    return parts


def _quoted(text: str) -> str:
    return f'"{escape(text, quote=True)}"'
