"""Tablature in text: the first string on top, frets where they are struck.

Conventions: frets count from the capo; ``x`` is a damped string, ``<12>`` a natural harmonic, ``h``, ``p`` and ``/``
before a fret a hammer-on, a pull-off and a slide into it, ``~`` after it a bend (common practice, no source). Every
beat and its half has a column, and every other place only where something is struck.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from listen.export.bar import Bar, PlacedStroke
from listen.export.bar_marks import find_signatures, write_key_marks
from listen.export.bars import LaidPart, lay_bars
from listen.export.head import head_lines
from listen.export.held_names import HeldNames, NameStyle
from listen.export.labels import printed
from listen.export.stroke_columns import bar_columns, split_columns
from listen.export.stroke_signs import ARROWS, LETTERS, Signs
from listen.export.style import TextStyle, visible_width, wrap_text
from listen.export.told_words import find_words, head_words, lay_words
from listen.instrument import Fretboard
from listen.reading import Corrected, Mark, Part, PlayedNote
from listen.theory import Pitch

_BEFORE: dict[Mark, str] = {"hammer-on": "h", "pull-off": "p", "slide": "/"}
_WORDS: tuple[Corrected, Corrected] = ("section", "lyrics")
LEAST_CELL = 2  # a fret and a dash
MARGIN = 6  # strings' names and bar lines


@dataclass(frozen=True, slots=True)
class _Block:
    """One bar, drawn, or a piece of one that is wider than a line."""

    number: str
    names: str
    strings: tuple[str, ...]
    strokes: str
    opens: bool = True

    @property
    def width(self) -> int:
        return len(self.strokes)


def render_tablature(part: Part, *, style: TextStyle | None = None, names: NameStyle = "played") -> str:
    """Render every stroke of a part as tablature.

    Parameters
    ----------
    part : Part
    style : TextStyle or None
    names : "played", "sounding", "nashville" or "roman"

    Returns
    -------
    str
        Lines, each ended by a line feed. Notes for which no hand could be found are named below.
    """
    style = style or TextStyle()
    laid = lay_bars(part)
    head = "\n".join(head_lines(laid, HeldNames(part, names), style))
    staves = tablature_staves(laid, style=style, names=names)
    return "\n\n".join((head, *staves, *_unplaced(part, style))).rstrip() + "\n"


def tablature_staves(laid: LaidPart, *, style: TextStyle, names: NameStyle = "played") -> tuple[str, ...]:
    """Render the tablature alone, one text a line of bars; nothing where no note has a string."""
    part = laid.part
    if not any(note.string_index is not None for event in part.events for note in event.notes):
        return ()
    called = HeldNames(part, names)
    blocks: list[_Block] = []
    before, keys, signatures = "", write_key_marks(called, laid.played), find_signatures(part, laid.played)
    for index, bar in enumerate(laid.played):
        mark = " ".join(filter(None, [keys.get(index), signatures.get(index)]))
        drawn, before = _blocks(bar, called, before, mark=mark, style=style)
        blocks += drawn
    return tuple("\n".join(line.rstrip() for line in row) for row in _rows(blocks, part, style))


def string_names(fretboard: Fretboard) -> list[str]:
    """Return the open strings' names from the first string to the lowest, without octaves."""
    return [pitch.name.rstrip("-0123456789") for pitch in reversed(fretboard.tuning.open_strings)]


def _rows(blocks: Sequence[_Block], part: Part, style: TextStyle) -> list[list[str]]:
    """Draw lines of bars; a section begins a line of its own under its name, and words stand below their bar."""
    sections, lyrics = ({str(bar): text for bar, text in find_words(part, what).items()} for what in _WORDS)
    names = [printed(name) if style.unicode else name for name in string_names(part.fretboard)]
    margin = max(map(len, names)) + 1
    rows: list[list[_Block]] = []
    for block in blocks:
        used = margin + 1 + sum(one.width + 1 for one in rows[-1]) if rows else style.width
        if rows and used + block.width + 1 <= style.width and block.number not in sections:
            rows[-1].append(block)
        else:
            rows.append([block])
    drawn = []
    for row in rows:
        lines = [" " * (margin + 1) + " ".join(block.names for block in row)]
        for at, name in enumerate(names):
            inside = "".join(("|" if block.opens else "-") + block.strings[at] for block in row)
            lines.append(f"{name:<{margin}}{inside}|")
        lines.append(" " * (margin + 1) + " ".join(block.strokes for block in row))
        number = row[0].number.rjust(margin)
        lines[0] = style.weigh(number, "faint") + lines[0][margin:]
        starts = [margin + 2 + sum(one.width + 1 for one in row[:place]) for place in range(len(row))]
        sung = [(at, lyrics[block.number]) for at, block in zip(starts, row, strict=True) if block.number in lyrics]
        heading = head_words(sections[row[0].number], style) if row[0].number in sections else []
        drawn.append([*heading, *lines, *lay_words(sung, style)])
    return drawn


def _blocks(bar: Bar, called: HeldNames, before: str, *, mark: str, style: TextStyle) -> tuple[list[_Block], str]:
    """Return a bar, in pieces where it is wider than a line, and the name that holds at its end."""
    n = called.part.fretboard.n_strings
    signs = ARROWS if style.unicode else LETTERS
    columns = bar_columns(bar, called.part.bars.metre, signs, called)
    cells = [_cell([placed for placed in bar.strokes if placed.step == one.step], n, signs) for one in columns]
    widths = [max(LEAST_CELL, *(len(text) + 1 for text in (*frets, stroke))) for frets, stroke in cells]
    places = {column.step: place for place, column in enumerate(columns)}
    labels: dict[int, str] = {}
    for change in bar.changes:
        text = style.plain(called.of_change(change))
        if text != before:
            labels[places[change.step]] = text
        before = text
    if mark:
        labels[0] = f"{mark} {labels.get(0, '')}".rstrip()
    blocks = []
    for first, end in split_columns(widths, columns, room=style.width - MARGIN):
        held = {place - first: text for place, text in labels.items() if first <= place < end}
        opens = first == 0
        blocks.append(_piece(str(bar.number) if opens else "", held, cells[first:end], widths[first:end], opens=opens))
    return blocks, before


def _piece(
    number: str, labels: dict[int, str], cells: list[tuple[list[str], str]], widths: list[int], *, opens: bool
) -> _Block:
    top = ""
    for cell, text in sorted(labels.items()):
        start = 1 + sum(widths[:cell])
        top = top.ljust(start if len(top) < start else len(top) + 1) + text
    wide = [*widths[:-1], widths[-1] + max(0, visible_width(top) - sum(widths))]  # a long name at the end of a bar
    strings = tuple(
        "-" + "".join(frets[at].ljust(room, "-") for (frets, _), room in zip(cells, wide, strict=True))
        for at in range(len(cells[0][0]))
    )
    strokes = " " + "".join(stroke.ljust(room) for (_, stroke), room in zip(cells, wide, strict=True))
    return _Block(number, top.ljust(len(strokes)), strings, strokes, opens)


def _cell(strokes: Sequence[PlacedStroke], n_strings: int, signs: Signs) -> tuple[list[str], str]:
    """Return one column's frets from the first string down, and its strokes: each in a column of its own."""
    struck = [_struck(placed, n_strings, signs) for placed in strokes]
    widths = [max(map(len, (*frets, sign))) for frets, sign in struck]
    last = len(struck) - 1
    frets = [
        "".join(
            row[at] if place == last else row[at].ljust(wide + 1, "-")
            for place, ((row, _), wide) in enumerate(zip(struck, widths, strict=True))
        )
        for at in range(n_strings)
    ]
    signed = "".join(sign.ljust(wide + 1) for (_, sign), wide in zip(struck, widths, strict=True))
    return frets, signed.rstrip()


def _struck(placed: PlacedStroke, n_strings: int, signs: Signs) -> tuple[list[str], str]:
    """Return one stroke's frets from the first string down, and its sign."""
    stroke = placed.stroke
    frets = ["x" if stroke.kind == "muted" else ""] * n_strings
    for at in range(n_strings):
        own = [note for note in stroke.notes if note.string_index == n_strings - 1 - at and note.fret is not None]
        frets[at] = "".join(map(_fret_text, own)) or frets[at]
    many = len(stroke.notes) > 1 or stroke.kind == "muted"
    return frets, signs.of_direction(stroke.direction) if many and stroke.direction is not None else ""


def _fret_text(note: PlayedNote) -> str:
    if "natural harmonic" in note.marks:
        return f"<{note.fret}>"
    before = "".join(sign for mark, sign in _BEFORE.items() if mark in note.marks)
    return f"{before}{note.fret}{'~' if 'bend' in note.marks else ''}"


def _unplaced(part: Part, style: TextStyle) -> list[str]:
    """Name the notes that have no string, in one sentence those that none has, the others where they are struck."""
    lines: list[str] = []
    beyond: dict[str, list[str]] = {}
    for event in part.events:
        where = f"{event.span.start_s:.1f} s" if event.position is None else f"bar {event.position.text}"
        notes = [note.pitch for note in event.notes if note.string_index is None]
        for pitch in notes:
            if not _lies_on_neck(pitch, part.fretboard):
                beyond.setdefault(printed(pitch.name), []).append(where)
        others = [printed(pitch.name) for pitch in notes if _lies_on_neck(pitch, part.fretboard)]
        if others:
            lines.append(f"At {where}, no hand found: {' '.join(others)}. {event.remark}".strip())
    if beyond:
        said = ", ".join(f"{name} ({', '.join(dict.fromkeys(places))})" for name, places in beyond.items())
        lines.append(f"No string has {said}.")
    return [line for text in lines for line in wrap_text(style.plain(text), width=style.width)]


def _lies_on_neck(pitch: Pitch, fretboard: Fretboard) -> bool:
    return any(0 <= pitch.midi - string.midi <= fretboard.top_fret for string in fretboard.open_pitches)
