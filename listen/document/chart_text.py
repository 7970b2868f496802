"""The chart in plain text, written: what a teacher sets, as a person would type it.

    title: Harbour Lights
    capo: 2
    tempo: 96
    metre: 4/4
    pattern: D . D U . U D U
    matters: bass

    G/B = x20003 shape

    |: C      | G/B    | Am . F . | G      :| ×2

What is written here is read back by :mod:`listen.document.chart_parser` as the same value.
"""

from __future__ import annotations

from dataclasses import replace

from listen.document.chart_head import SWING
from listen.instrument import STANDARD, Tuning, parse_tuning, strings_text
from listen.reading import (
    STEPS_PER_BEAT,
    Assignment,
    Expectation,
    SetBar,
    SetChord,
    SetSection,
    SetStroke,
)

BARS_A_LINE = 4
LATE_SIGNS = {6: "&", 3: "¼", 9: "¾", 4: "⅓", 8: "⅔"}  # steps after the beat
HELD = "."
STROKE_SIGNS = {("down", False): "D", ("up", False): "U", (None, False): "*", (None, True): "x"}


def render_chart_text(assignment: Assignment) -> str:
    """Return an assignment as plain text.

    Returns
    -------
    str
        Lines, each ended by a line feed.
    """
    blocks = [_head(assignment), [_definition(one) for one in assignment.chords if is_defined(one)]]
    before = assignment.signature
    for place, section in enumerate(assignment.sections):
        blocks.append(_section(section, assignment, is_first=place == 0, before=before))
        before = section.bars[-1].signature or assignment.signature
    return "\n".join("".join(f"{line.rstrip()}\n" for line in block) for block in blocks if block)


def is_defined(chord: SetChord) -> bool:
    """Whether more is said of a chord than its symbol."""
    return (chord.shape is not None and chord.symbol != chord.shape.text) or chord.expectation is not None


def tuning_text(tuning: Tuning) -> str:
    """Return a tuning as it is typed: its name, where that says the same."""
    try:
        return tuning.name if parse_tuning(tuning.name).open_strings == tuning.open_strings else tuning.text
    except ValueError:
        return tuning.text


def _head(assignment: Assignment) -> list[str]:
    tempo = assignment.tempo_bpm
    pattern, matters = assignment.pattern, assignment.expectation
    lines = {
        f"title: {assignment.title}": assignment.title,
        f"capo: {assignment.capo_fret}": assignment.capo_fret,
        f"tuning: {tuning_text(assignment.tuning)}": assignment.tuning.open_strings != STANDARD.open_strings,
        f"tempo: {tempo or 0.0:.10g}": tempo is not None,
        "free time": assignment.is_free,
        f"metre: {assignment.signature[0]}/{assignment.signature[1]}": assignment.signature != (4, 4),
        f"feel: {SWING}": assignment.is_swung,
        f"pickup: {assignment.pickup_beats}": assignment.pickup_beats,
        f"pattern: {_pattern(pattern, assignment.steps_per_bar)}": pattern,
        f"matters: {_expectation(matters)}": matters != Expectation(),
    }
    return [line for line, is_said in lines.items() if is_said]


def _expectation(expectation: Expectation) -> str:
    strings = f" strings {strings_text(expectation.strings)}" if expectation.strings else ""
    return f"{expectation.demand}{strings}"


def _definition(chord: SetChord) -> str:
    shape = "" if chord.shape is None else f" {chord.shape.text}"
    matters = "" if chord.expectation is None else f" {_expectation(chord.expectation)}"
    return f"{chord.symbol} ={shape}{matters}"


def _pattern(strokes: tuple[SetStroke, ...], n_steps: int) -> str:
    if not strokes:
        return ""
    beats = n_steps // STEPS_PER_BEAT
    width = next(
        width
        for parts in (1, 2, 3, 4, 6, 12)
        if all(one.step % (width := n_steps // (beats * parts)) == 0 for one in strokes)
    )
    signs = ["."] * (n_steps // width)
    for one in strokes:
        signs[one.step // width] = STROKE_SIGNS[None if one.is_muted else one.direction, one.is_muted]
    return " ".join(signs)


def _section(section: SetSection, assignment: Assignment, *, is_first: bool, before: tuple[int, int]) -> list[str]:
    """Write the bars of a section; a metre stands where it begins, also where a repeat comes back to it."""
    cells = []
    signed = [bar.signature or assignment.signature for bar in section.bars]
    comes_back = section.times > 1 and signed[0] != signed[-1]
    for place, bar in enumerate(section.bars):
        is_pickup = is_first and place == 0 and assignment.pickup_beats > 0
        n_beats = assignment.pickup_beats if is_pickup else assignment.beats_of(bar)
        is_told = signed[place] != before or (comes_back and place == 0)
        metre = "metre={}/{} ".format(*signed[place]) if is_told else ""
        cells.append(f"{metre}{write_bar(bar, n_beats=n_beats)}".rstrip())
        before = signed[place]
    lines = []
    repeated = section.times > 1
    rows = [cells[at : at + BARS_A_LINE] for at in range(0, len(cells), BARS_A_LINE)]
    wide = [max((len(row[column]) for row in rows if column < len(row)), default=0) for column in range(BARS_A_LINE)]
    for number, row in enumerate(rows):
        opening = "|: " if repeated and number == 0 else "|  " if repeated else "| "
        closing = f" :| ×{section.times}" if repeated and number == len(rows) - 1 else " |"
        lines.append(f"{opening}{' | '.join(cell.ljust(wide[at]) for at, cell in enumerate(row))}{closing}")
    return lines


def write_bar(bar: SetBar, *, n_beats: int) -> str:
    """Return what stands between two bar lines.

    Examples
    --------
    >>> from listen.reading import SetChange
    >>> write_bar(SetBar((SetChange(0, "G"), SetChange(30, "D/F#"))), n_beats=4), write_bar(SetBar(), n_beats=4)
    ('G . &D/F# .', '')
    >>> write_bar(SetBar((SetChange(0, "G"),), tempo_bpm=120.0), n_beats=4)
    'tempo=120 G'
    """
    if bar.tempo_bpm is not None:
        return f"tempo={bar.tempo_bpm:.10g} {write_bar(replace(bar, tempo_bpm=None), n_beats=n_beats)}".rstrip()
    if not bar.changes:
        return ""
    if len(bar.changes) == 1 and bar.changes[0].step == 0:
        return bar.changes[0].symbol
    beats = [""] * n_beats
    for change in bar.changes:
        beat, late = divmod(change.step, STEPS_PER_BEAT)
        beats[beat] += f"{LATE_SIGNS[late] if late else ''}{change.symbol}"
    return " ".join(beat or HELD for beat in beats)
