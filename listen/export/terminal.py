"""Diagrams drawn with characters, for a terminal.

Conventions: see :mod:`listen.export.diagram` for the design. Round brackets are a tone, square ones the root, pointed
ones a tone that differs, braces a tone that was dropped; ``o`` is an open string and ``×`` one that is not played. A
box gives every fret the same room; a neck is drawn to scale, and where it does not fit it continues below.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from listen.export.diagram import ELSEWHERE, Diagram, Form, PlaceMark
from listen.export.labels import printed
from listen.export.style import TextStyle, Weight, wrap_text
from listen.instrument import Barre

_BRACKETS: dict[Form, tuple[str, str]] = {
    "tone": ("(", ")"),
    "root": ("[", "]"),
    "changed": ("<", ">"),
    "gone": ("{", "}"),
    "bass": ("(", ")"),
    "elsewhere": ("", ""),
    "elsewhere root": ("", ""),
}


@dataclass(frozen=True, slots=True)
class _Signs:
    string: str
    silent: str
    wire: str
    nut: str
    capo: str
    barre: str
    mute: str


_UNICODE = _Signs(string="─", silent="┈", wire="┼", nut="║", capo="█", barre="┃", mute="×")
_ASCII = _Signs(string="-", silent=".", wire="+", nut="|", capo="#", barre="|", mute="x")


def render_box(diagram: Diagram, *, style: TextStyle) -> tuple[str, ...]:
    r"""Draw a chord box: one line a string, the first string on top, and the fret numbers below.

    Parameters
    ----------
    diagram : Diagram
    style : TextStyle

    Returns
    -------
    tuple of str
        Lines without a title.

    Examples
    --------
    >>> from listen.export.diagram import shape_to_diagram
    >>> from listen.instrument import Fretboard, Shape
    >>> box = shape_to_diagram(Shape((None, None, 0, 2, 3, 2)), Fretboard())
    >>> print("\n".join(render_box(box, style=TextStyle(unicode=False))))
    E     |----+(F#)+----+----+
    B     |----+----+(D)-+----+
    G     |----+(A)-+----+----+
    D (D) |----+----+----+----+
    A  x  |....+....+....+....+
    E  x  |....+....+....+....+
            1    2    3    4
    """
    if not style.pictures:
        return wrap_text(style.plain(diagram.description), width=style.width)
    room = _mark_room(diagram)
    wires = [at * (room + 1) for at in range(1, diagram.last_fret - diagram.first_fret + 2)]
    return _draw(diagram, wires, style)


def render_neck(diagram: Diagram, *, style: TextStyle) -> tuple[str, ...]:
    """Draw a neck to scale, in as many pieces as the width asks for.

    Returns
    -------
    tuple of str
        Lines without a title; pieces are parted by an empty line.
    """
    if not style.pictures:
        return wrap_text(style.plain(diagram.description), width=style.width)
    lines: list[str] = []
    for first, last in _find_pieces(diagram, style.width):
        if lines:
            lines.append("")
        wires = _scaled_wires(diagram, first, last)
        marks = tuple(mark for mark in diagram.marks if mark.fret or first == diagram.first_fret)
        lines += _draw(replace(diagram, first_fret=first, last_fret=last, marks=marks), wires, style)
    return tuple(lines)


def render_legend(text: str, *, style: TextStyle, indent: str) -> tuple[str, ...]:
    """Render how pictures are read, below them; nothing where there are no pictures."""
    if not style.pictures:
        return ()
    return (
        "",
        *(style.weigh(line, "faint") for line in wrap_text(style.plain(text), width=style.width, indent=indent)),
    )


def _find_pieces(diagram: Diagram, width: int) -> tuple[tuple[int, int], ...]:
    """Cut the frets into the fewest pieces that fit the width, about equally many frets in each."""
    n_frets, n_pieces = diagram.last_fret - diagram.first_fret + 1, 1
    while True:
        size = -(-n_frets // n_pieces)
        firsts = range(diagram.first_fret, diagram.last_fret + 1, size)
        pieces = tuple((first, min(first + size - 1, diagram.last_fret)) for first in firsts)
        room = width - _margin(diagram) - 1
        if size == 1 or all(_scaled_wires(diagram, *piece)[-1] <= room for piece in pieces):
            return pieces
        n_pieces += 1


def _mark_text(mark: PlaceMark, *, unicode: bool) -> str:
    if mark.form in ELSEWHERE:
        return "·" if unicode else "."
    left, right = _BRACKETS[mark.form]
    label = printed(mark.label) if unicode else mark.label
    if mark.fret == 0 and not label:
        label = "o"
        if mark.form == "tone":
            left = right = " "
    return f"{left}{label or ' '}{right}"


def _mark_room(diagram: Diagram) -> int:
    return max((len(mark.label) + 2 for mark in diagram.marks if mark.fret and mark.form not in ELSEWHERE), default=3)


def _open_room(diagram: Diagram) -> int:
    return max(3, *(len(mark.label) + 2 for mark in diagram.marks if mark.fret == 0), 0)


def _name_room(diagram: Diagram) -> int:
    return max(len(pitch.name.rstrip("-0123456789")) for pitch in diagram.fretboard.tuning.open_strings)


def _margin(diagram: Diagram) -> int:
    """Columns before the nut: the string's name, a space, the open string's mark, a space."""
    return _name_room(diagram) + 1 + _open_room(diagram) + 1


def _scaled_wires(diagram: Diagram, first: int, last: int) -> list[int]:
    """Columns of the wires after the nut, to scale, the narrowest fret just wide enough for a mark."""
    board = diagram.fretboard
    zero = board.wire_mm(first - 1)
    columns_per_mm = (max(3, _mark_room(diagram)) + 1) / (board.wire_mm(last) - board.wire_mm(last - 1))
    return [round((board.wire_mm(fret) - zero) * columns_per_mm) for fret in range(first, last + 1)]


class _Drawing:
    """Rows of characters with a weight each, one row a string and one for the fret numbers."""

    def __init__(self, diagram: Diagram, wires: list[int], *, unicode: bool) -> None:
        board = diagram.fretboard
        self.diagram, self.unicode = diagram, unicode
        self.sign = _UNICODE if unicode else _ASCII
        self.edges = [0, *wires]
        self.n_strings = board.n_strings
        self.width = _margin(diagram) + wires[-1] + 1
        self.nut = wires[-1] if diagram.left_handed else _margin(diagram)
        self.at_nut = diagram.first_fret == 1
        self.signs = [[" "] * self.width for _ in range(self.n_strings + 1)]
        self.weights: list[list[Weight]] = [["plain"] * self.width for _ in self.signs]

    def put(self, row: int, column: int, text: str, weight: Weight = "plain") -> None:
        for at, sign in enumerate(text, start=column):
            if 0 <= at < self.width:
                self.signs[row][at] = sign
                self.weights[row][at] = weight

    def put_open(self, row: int, text: str, weight: Weight) -> None:
        room, names = _open_room(self.diagram), _name_room(self.diagram)
        start = self.width - names - 1 - room if self.diagram.left_handed else names + 1
        self.put(row, start, text.center(room), weight)

    def put_in_fret(self, row: int, fret: int, text: str, weight: Weight) -> None:
        """Put a text in the middle between a fret's two wires, when the fret is in the window."""
        at = fret - self.diagram.first_fret
        if 0 <= at < len(self.edges) - 1:
            left, right = sorted((self.column(self.edges[at]), self.column(self.edges[at + 1])))
            self.put(row, left + 1 + (right - left - 1 - len(text)) // 2, text, weight)

    def column(self, offset: int) -> int:
        return self.nut - offset if self.diagram.left_handed else self.nut + offset

    def row(self, string_index: int) -> int:
        return self.n_strings - 1 - string_index

    def draw_string(self, index: int) -> None:
        row, silent, board = self.row(index), index in self.diagram.unplayed, self.diagram.fretboard
        for offset in range(1, self.edges[-1]):
            self.put(row, self.column(offset), self.sign.silent if silent else self.sign.string, "faint")
        for wire in self.edges:
            self.put(row, self.column(wire), self.sign.wire, "faint")
        if self.at_nut:
            self.put(row, self.column(0), self.sign.capo if board.capo_fret else self.sign.nut)
        room = _name_room(self.diagram)
        name = board.tuning.open_strings[index].name.rstrip("-0123456789")
        name = (printed(name) if self.unicode else name).ljust(room)
        self.put(row, self.width - room if self.diagram.left_handed else 0, name, "faint" if silent else "plain")
        if silent:
            self.put_open(row, f" {self.sign.mute} ", "faint")

    def draw_barre(self, barre: Barre) -> None:
        for index in range(barre.first_string, barre.last_string + 1):
            self.put_in_fret(self.row(index), barre.fret, self.sign.barre, "strong")

    def draw_mark(self, mark: PlaceMark) -> None:
        text = _mark_text(mark, unicode=self.unicode)
        if mark.fret:
            self.put_in_fret(self.row(mark.string_index), mark.fret, text, "strong")
        else:
            self.put_open(self.row(mark.string_index), text, "strong")

    def lines(self, style: TextStyle) -> tuple[str, ...]:
        rendered = []
        for signs, weights in zip(self.signs, self.weights, strict=True):
            end = len("".join(signs).rstrip())
            line, start = "", 0
            for at in range(1, end + 1):
                if at == end or weights[at] != weights[start]:
                    line += style.weigh("".join(signs[start:at]), weights[start])
                    start = at
            rendered.append(line)
        return tuple(rendered)


def _draw(diagram: Diagram, wires: list[int], style: TextStyle) -> tuple[str, ...]:
    drawing = _Drawing(diagram, wires, unicode=style.unicode)
    for index in range(drawing.n_strings):
        drawing.draw_string(index)
    for barre in diagram.barres:
        drawing.draw_barre(barre)
    for mark in diagram.marks:
        drawing.draw_mark(mark)
    for fret in range(diagram.first_fret, diagram.last_fret + 1):
        drawing.put_in_fret(drawing.n_strings, fret, str(fret), "faint")
    return drawing.lines(style)
