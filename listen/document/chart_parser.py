"""The chart in plain text, read: head, shapes, bars. What is wrong is told with its line and column.

A line is a remark (it begins with ``#``), one of the head (``capo: 2``), a shape or what matters of a chord
(``G/B = x20003 bass``), or bars. In a bar one name holds to its end; two names share it; else each beat is written,
``.`` where nothing changes, ``&`` before a name that comes half a beat late (``¼ ⅓ ⅔ ¾`` likewise). An empty bar goes
on with what was held. Before its names a bar may say the tempo from there on (``tempo=120``), and the metre
(``metre=2/4``).
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, replace
from pathlib import Path
from textwrap import shorten

from listen.document.chart_bars import BarReader
from listen.document.chart_head import read_board, read_head
from listen.document.chart_place import ChartPlace
from listen.document.text_file import read_text_file
from listen.errors import DocumentError
from listen.instrument import Fretboard, parse_shape, parse_strings
from listen.reading import (
    DEMANDS,
    Assignment,
    Demand,
    Expectation,
    SetBar,
    SetChange,
    SetChord,
    SetSection,
)

MOST_BYTES, LONGEST_LINE = 1_000_000, 2_000
LONGEST_OWN_TITLE = 80  # of a few chords, which are their own title: it stands on one line; judged
_ROW = re.compile(r"(?:\d{1,4}\s*)?\|")  # how a row of bars begins
HEAD = ("title", "capo", "tuning", "tempo", "metre", "feel", "pickup", "pattern", "matters", "free time")


def read_chart(path: Path | str) -> Assignment:
    """Read a chart from a file.

    Raises
    ------
    DocumentError
        It cannot be read, or something in it: file, line, column and what would be right.
    """
    return parse_chart(read_chart_text(path), name=str(path))


def read_chart_text(path: Path | str) -> str:
    """Return what stands in a chart's file, as it was typed.

    Raises
    ------
    DocumentError
        It is missing, no ordinary file, too large, or no text.
    """
    return read_text_file(Path(path), called="a chart", most_bytes=MOST_BYTES)


def parse_chart(text: str, *, name: str = "chart") -> Assignment:
    r"""Read a chart.

    Parameters
    ----------
    text : str
    name : str
        What the user calls it, for errors.

    Raises
    ------
    DocumentError
        See :func:`read_chart`.

    Examples
    --------
    >>> chart = parse_chart("capo: 2\n|: C | G :| x3")
    >>> chart.capo_fret, len(chart.bars), [chord.symbol for chord in chart.chords]
    (2, 6, ['C', 'G'])
    >>> parse_chart("| C | Gg |")
    Traceback (most recent call last):
    listen.errors.DocumentError: chart, line 1, column 7: chord=Gg cannot be read at character 2 ("g").
    """
    head: dict[str, ChartPlace] = {}
    definitions: list[ChartPlace] = []
    rows: list[ChartPlace] = []
    for number, line in enumerate(text.splitlines(), start=1):
        place = ChartPlace(name, number, 1, line).stripped()
        if len(line) > LONGEST_LINE:
            raise ChartPlace(name, number, LONGEST_LINE, "").refuse(
                "the line does not end: break it after a bar line; four bars a line are easy to read."
            )
        if not place.text or place.text.startswith("#"):
            continue
        if _ROW.match(place.text):
            rows.append(place)
        elif "=" in place.text and not _is_head(place):
            definitions.append(place)
        else:
            _take_head(place, head)
    board = read_board(head)
    assignment = read_head(head, board)
    if "matters" in head:
        expectation = _read_expectation(head["matters"].words(), board, head["matters"])
        assignment = replace(assignment, expectation=expectation)
    return _assemble(assignment, definitions, rows, board, name=name)


def _is_head(place: ChartPlace) -> bool:
    return place.text.partition(":")[0].strip().lower() in HEAD


def _take_head(place: ChartPlace, head: dict[str, ChartPlace]) -> None:
    """Note a line of the head under its key."""
    key, colon, _ = place.text.partition(":")
    key = " ".join(key.lower().split())
    if key not in HEAD or not (colon or key == "free time"):
        near = difflib.get_close_matches(key, HEAD, n=1)
        if key in HEAD:
            raise place.refuse(f'"{key}" needs a colon and a value after it.')
        if colon or near:
            hint = f" Did you mean {near[0]}?" if near else ""
            raise place.refuse(f'"{place.shown}" is no line of a chart: the head takes {", ".join(HEAD)}.{hint}')
        raise place.refuse(
            f'"{place.shown}" is no line of a chart: bars stand between bar lines (| C | G |), a shape after = '
            "(C = x32010), and a remark begins with #."
        )
    if key in head:
        raise place.refuse(f"{key} was said before, on line {head[key].line}; once is enough.")
    value = place.after(len(place.text.partition(":")[0]) + 1) if colon else place
    if colon and not value.text:
        raise place.refuse(f"{key} is empty: write a value after the colon, or leave the line out.")
    head[key] = value


def _read_expectation(words: list[ChartPlace], board: Fretboard, place: ChartPlace) -> Expectation:
    demand: Demand = "name"
    strings: tuple[int, ...] = ()
    at = 0
    while at < len(words):
        word = words[at].text.strip(",").lower()
        found = next((one for one in DEMANDS if one == word), None)
        if found is not None:
            demand = found
        elif word == "strings" and at + 1 < len(words):
            at += 1
            with words[at].explained():
                strings = parse_strings(words[at].text, n_strings=board.n_strings)
        elif word == "strings":
            raise words[at].refuse("strings needs their numbers after it: strings 3-1.")
        else:
            raise words[at].refuse(f'"{words[at].shown}" is not what can matter: {", ".join(DEMANDS)}, or strings 3-1.')
        at += 1
    if not words:
        raise place.refuse(f"say what matters: {', '.join(DEMANDS)}, or strings 3-1.")
    return Expectation(demand, strings)


@dataclass(frozen=True, slots=True)
class _Definition:
    chord: SetChord
    place: ChartPlace


def _assemble(
    assignment: Assignment, definitions: list[ChartPlace], rows: list[ChartPlace], board: Fretboard, *, name: str
) -> Assignment:
    defined: dict[str, _Definition] = {}
    for place in definitions:
        found = _read_definition(place, board)
        if found.chord.symbol in defined:
            raise place.refuse(
                f"{found.chord.symbol} was given before, on line {defined[found.chord.symbol].place.line}."
            )
        defined[found.chord.symbol] = found
    bars = BarReader(assignment, board)
    for row in rows:
        bars.read(row)
    sections = bars.finish()
    if not sections:
        raise ChartPlace(name, 1, 1, "").refuse("there are no bars; write some between bar lines: | C | G |.")
    chords = [
        defined[symbol].chord if symbol in defined else SetChord(symbol, chord, shape)
        for symbol, (chord, shape) in bars.symbols.items()
    ]
    chords += [one.chord for symbol, one in defined.items() if symbol not in bars.symbols]
    return replace(assignment, chords=tuple(chords), sections=sections)


def _read_definition(place: ChartPlace, board: Fretboard) -> _Definition:
    left, _, _ = place.text.partition("=")
    symbol_place = ChartPlace(place.name, place.line, place.column, left).stripped()
    symbol, chord, shape = symbol_place.read_symbol(board)
    words = place.after(len(left) + 1).words()
    if not words:
        raise place.refuse(f"nothing stands after =: write frets ({symbol} = x32010), or what matters.")
    if re.match(r"[\dxX×]", words[0].text):
        with words[0].explained():
            shape = parse_shape(words[0].text, fretboard=board)
        words = words[1:]
    expectation = _read_expectation(words, board, place) if words else None
    return _Definition(SetChord(symbol, chord, shape, expectation), place)


def parse_chords(text: str, *, name: str = "SET") -> Assignment:
    """Read chords or frets with spaces, commas or bar lines between: one after another, each held as long as it likes.

    Raises
    ------
    DocumentError
        There is none, or one of them is neither a chord nor frets.

    Examples
    --------
    >>> [chord.symbol for chord in parse_chords("C G/B x02210").chords]
    ['C', 'G/B', 'x02210']
    """
    lines = [ChartPlace(name, number, 1, line) for number, line in enumerate(text.splitlines(), start=1)]
    words = [word for line in lines for word in replace(line, text=re.sub("[,|]", " ", line.text)).words()]
    if not words:
        raise ChartPlace(name, 1, 1, "").refuse("there are no chords; write some with spaces between: C G Am F.")
    found = [word.read_symbol(Fretboard()) for word in words]
    chords = {symbol: SetChord(symbol, chord, shape) for symbol, chord, shape in found}
    bars = tuple(SetBar((SetChange(0, symbol),)) for symbol, _, _ in found)
    title = shorten(text, LONGEST_OWN_TITLE, placeholder=" …")
    return Assignment(tuple(chords.values()), (SetSection(bars),), title=title, is_free=True)


def are_chords(text: str) -> bool:
    """Tell whether a text is a few chords, for :func:`parse_chords`, and no chart.

    Examples
    --------
    >>> are_chords("C G/B Am"), are_chords("x32010"), are_chords("| C | G |"), are_chords("tempo: 96")
    (True, True, False, False)
    """
    words = text.split()
    if not words or looks_like_chart(text):
        return False
    try:
        parse_chords(words[0])
    except DocumentError:
        return False
    return True


def looks_like_chart(text: str) -> bool:
    """Tell whether a text is written as a chart is: a row of bars, a line of the head or what matters of a chord.

    Examples
    --------
    >>> looks_like_chart("| C | G |"), looks_like_chart("tempo: 96"), looks_like_chart("C | G")
    (True, True, False)
    """
    return any(sign in text for sign in ":=") or any(_ROW.match(line.strip()) for line in text.splitlines())
