"""The sheet of a part: one page to print and to practise from.

Each different shape once, then the chart, then a player that holds the recording and the part on strings. A bar is a
button: it plays, and again, until another is chosen. The page needs no network; its one script is named by its hash in
the page's own policy (W3C, *Content Security Policy Level 3*), so that nothing else on it can run.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from listen.export.bar import Bar, find_metre
from listen.export.bars import find_bars
from listen.export.chart import bar_content, head_facts
from listen.export.chart_remarks import other_settings, setting_fact, span_remarks
from listen.export.diagram import shape_to_diagram
from listen.export.fold import Fold, find_folds
from listen.export.held_names import HeldNames, NameStyle, clock_text
from listen.export.labels import printed
from listen.export.page import as_drawing, render_page
from listen.export.shapes_page import render_shapes_svg
from listen.export.shapes_view import ShapeGroup, ShapesView, shape_to_card
from listen.export.stroke_signs import ARROWS, pattern_rows
from listen.export.style import TextStyle
from listen.export.svg import render_diagram_svg
from listen.export.tablature import tablature_staves
from listen.export.words import sure_text
from listen.instrument import caution_for
from listen.reading import STEPS_PER_BEAT, ChordSpan, Part, ShapeReading

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

BARS_A_LINE = 4
CELLS_A_BEAT = 4  # a name stands where its change comes, to the sixteenth
SHEET_RATE_HZ = 22_050
LONGEST_SOUND_S = 600.0  # ten minutes of two channels take about 10 MB
SHEET_WIDTH = 84  # columns of tablature that fit on paper
BAR_PX = 152.0  # room for names in a bar: a quarter of the width of A4 inside its margins, half of a narrow screen
NAME_PX, LEAST_NAME_PX, READABLE_PX = 19.0, 8.0, 11.0
MOST_UNEVEN = 1.3  # how much larger a name may be than the smallest in its bar
LETTER_EM = 0.68  # a bold letter's mean width


@dataclass(frozen=True, slots=True)
class SheetSound:
    """What the player plays.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,) or (n, 2)
        From the start of the part's stretch; two channels are the recording and the part on strings.
    sample_rate_hz : int
    """

    samples: npt.NDArray[np.float32]
    sample_rate_hz: int


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
    is_beside = sound is not None and sound.samples.ndim == 2
    bars = find_bars(part, is_settled=True)
    return render_page(
        "part.html.j2",
        {
            **_body(part, names=names, left_handed=left_handed),
            "sound": None if sound is None else _sound_uri(sound),
            "sound_words": _sound_words(sound, is_beside=is_beside),
            "is_beside": is_beside,
            "first_number": bars[0].number if bars else 1,
            "last_number": bars[-1].number if bars else 1,
            "script": as_drawing(script),
            "script_hash": f"sha256-{digest}",
        },
    )


def render_part_fragment(part: Part, *, names: NameStyle = "played", left_handed: bool = False) -> str:
    """Render what a sheet holds, without a page around it and without a player: HTML for a page that has its own."""
    return render_page("part_body.html.j2", _body(part, names=names, left_handed=left_handed))


def _body(part: Part, *, names: NameStyle, left_handed: bool) -> dict[str, Any]:
    called = HeldNames(part, names)
    bars = find_bars(part, is_settled=True)
    measured = bool(bars) and bars[0].is_measured
    shapes = find_shapes(part)
    held = [span.shape for span in shapes if span.shape is not None]
    wants_tablature = any(event.kind in {"line", "picked"} for event in part.events)
    return {
        "title": PurePath(TextStyle().plain(part.source)).stem or "Part",
        "facts": _facts(part, called),
        "remarks": _remarks(part),
        "shapes": [
            _shape(span, shape, part, called, ident=f"shape{at}", left_handed=left_handed)
            for at, (span, shape) in enumerate(zip(shapes, held, strict=True))
        ],
        "cautions": sorted({text for shape in held if (text := caution_for(shape.fingering))}),
        "pattern": _pattern(part),
        "lines": _lines(bars, called, part) if measured else [],
        "stretches": [] if measured else [_stretch(bar, called, part) for bar in bars],
        "staves": tablature_staves(part, style=TextStyle(width=SHEET_WIDTH), names=names),
        "staves_open": wants_tablature,
        "capo_fret": part.fretboard.capo_fret,
    }


def render_part_boxes(part: Part, *, names: NameStyle = "played", left_handed: bool = False) -> str:
    """Render each different shape of a part once, as one SVG drawing."""
    called = HeldNames(part, names)
    groups = []
    for span in find_shapes(part):
        if span.shape is not None:
            card = shape_to_card(
                span.shape.shape,
                part.fretboard,
                fingering=span.shape.fingering,
                chord=None if span.name is None else span.name.chord,
                left_handed=left_handed,
            )
            groups.append(ShapeGroup(called.of_span(span), (card,)))
    title = PurePath(TextStyle().plain(part.source)).stem or "Part"
    return render_shapes_svg(ShapesView(title, "", part.fretboard, tuple(groups)))


def find_shapes(part: Part) -> tuple[ChordSpan, ...]:
    """Return the first span of each different name and shape, in the order in which they come."""
    found: dict[tuple[str, str], ChordSpan] = {}
    for span in part.spans:
        if span.shape is not None and "passing" not in span.marks:
            text = span.name.text if span.name is not None else ""
            found.setdefault((text, span.shape.shape.text), span)
    return tuple(found.values())


@cache
def _script() -> str:
    return files("listen.export").joinpath("templates", "part.js").read_text("utf-8")


def _facts(part: Part, names: HeldNames) -> list[tuple[str, str]]:
    metre = find_metre(part)
    rows: list[tuple[str, str]] = []
    for fact in head_facts(part, names):
        if fact.startswith("Key "):
            rows.append(("Key", fact.removeprefix("Key ")))
        elif fact == ("free time" if metre is None else metre.text):
            rows.append(("Count", fact))
        elif fact.endswith("of A 440"):
            rows.append(("Pitch", fact))
        elif fact == setting_fact(part):
            rows.append(("Guitar", fact))
        else:
            rows.append(("Names", fact.removeprefix("names ")))
    rows.append(("Strings", " ".join(printed(pitch.name) for pitch in part.fretboard.tuning.open_strings)))
    return rows


def _remarks(part: Part) -> list[str]:
    remarks = [*part.warnings, *span_remarks(part), *other_settings(part)]
    if not part.complete:
        remarks.append(f"Reading was stopped at {clock_text(part.span.end_s)}; the rest is missing.")
    if any(event.kind == "unread" for event in part.events):
        remarks.append("Hatched bars could not be read: listen to them.")
    return remarks


def _shape(
    span: ChordSpan, shape: ShapeReading, part: Part, names: HeldNames, *, ident: str, left_handed: bool
) -> dict[str, Any]:
    text = names.of_span(span)
    sounds = "" if span.name is None else span.name.printed
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


def _pattern(part: Part) -> dict[str, Any] | None:
    if part.pattern is None or part.metre is None or not part.pattern.strokes:
        return None
    counts, strokes = pattern_rows(part.pattern, part.metre, ARROWS)
    n = len(part.pattern.bars)
    words = f"Pattern of {n} bar{'' if n == 1 else 's'} ({sure_text(part.pattern.share)}): {ARROWS.legend(strokes)}"
    per_beat = max(1, len(strokes) // part.metre.beats_per_bar)
    return {"counts": counts, "strokes": strokes, "words": words, "per_beat": per_beat}


def _lines(bars: Sequence[Bar], names: HeldNames, part: Part) -> list[dict[str, Any]]:
    contents = [bar_content(bar, names) for bar in bars]
    upbeat = 1 if part.metre is not None and part.metre.pickup_steps else 0
    folds = [Fold(0, 1)] if upbeat else []
    folds += [Fold(fold.first + upbeat, fold.length, fold.times) for fold in find_folds(contents[upbeat:])]
    lines: list[dict[str, Any]] = []
    for number, fold in enumerate(folds):
        at = 0
        while at < fold.length:
            for n_bars in (BARS_A_LINE, BARS_A_LINE // 2):  # crowded bars get twice the room
                row = range(fold.first + at, fold.first + min(at + n_bars, fold.length))
                width_px = BAR_PX * BARS_A_LINE / n_bars
                cells = [
                    _cell(bars, contents, fold, index, start_s=part.span.start_s, width_px=width_px) for index in row
                ]
                if min((name[2] for cell in cells for name in cell["names"]), default=NAME_PX) >= READABLE_PX:
                    break
            kind = "upbeat" if upbeat and number == 0 else "half" if n_bars < BARS_A_LINE else ""
            lines.append({"bars": cells, "kind": kind})
            at += len(cells)
    return lines


def _cell(
    bars: Sequence[Bar],
    contents: Sequence[tuple[tuple[int, str], ...]],
    fold: Fold,
    index: int,
    *,
    start_s: float,
    width_px: float,
) -> dict[str, Any]:
    bar, content = bars[index], contents[index]
    holds = contents[index - 1][-1][1] if index and contents[index - 1] else ""
    if index == fold.first and fold.times > 1:
        holds = ""
    shown = [(step, text) for step, text in content if not (step == 0 and text == holds)]
    size = STEPS_PER_BEAT // CELLS_A_BEAT
    n_cells = max(1, -(-bar.n_steps // size))
    starts = [(min(step // size, n_cells - 1), text) for step, text in shown]
    played = [bars[index + fold.length * time] for time in range(fold.times)]
    return {
        "number": bar.number,
        "plays": " ".join(_play(one, start_s) for one in played),
        "names": _fit(starts, n_cells, width_px=width_px),
        "n_cells": n_cells,
        "n_beats": bar.n_beats,
        "opens": fold.times > 1 and index == fold.first,
        "closes": fold.times > 1 and index == fold.first + fold.length - 1,
        "times": fold.times if index == fold.first + fold.length - 1 else 1,
        "is_unread": bool(bar.held and bar.held.kind == "unread") or any(c.kind == "unread" for c in bar.changes),
        "words": f"Bar {bar.number}: {', '.join(text for _, text in content) or 'nothing'}",
    }


def _fit(starts: Sequence[tuple[int, str]], n_cells: int, *, width_px: float) -> list[tuple[int, int, float, str]]:
    """Place the names of a bar: column, columns, size and text of each, so that none runs into another."""
    rooms = []
    for place, (cell, _) in enumerate(starts):
        until = starts[place + 1][0] if place + 1 < len(starts) else n_cells
        rooms.append(max(1, until - cell))
    fits = [
        width_px * room / n_cells / (LETTER_EM * (len(text) + 0.6))
        for room, (_, text) in zip(rooms, starts, strict=True)
    ]
    most = min(NAME_PX, max(MOST_UNEVEN * min(fits, default=NAME_PX), LEAST_NAME_PX))
    return [
        (cell + 1, room, round(min(most, max(px, LEAST_NAME_PX)), 1), text)
        for (cell, text), room, px in zip(starts, rooms, fits, strict=True)
    ]


def _play(bar: Bar, start_s: float) -> str:
    """Return when a bar sounds in the player, and its number: start, end, number."""
    return f"{max(0.0, bar.start_s - start_s):.3f}:{max(0.0, bar.end_s - start_s):.3f}:{bar.number}"


def _stretch(bar: Bar, names: HeldNames, part: Part) -> dict[str, Any]:
    return {
        "number": bar.number,
        "plays": _play(bar, part.span.start_s),
        "clock": clock_text(bar.start_s),
        "text": names.of_change(bar.changes[0]),
    }


def _sound_words(sound: SheetSound | None, *, is_beside: bool) -> str:
    if sound is None:
        return ""
    what = "The recording (left) and the part on strings (right)." if is_beside else "The part on strings."
    if len(sound.samples) > LONGEST_SOUND_S * sound.sample_rate_hz:
        what = f"{what[:-1]}, their first {LONGEST_SOUND_S / 60:.0f} minutes."
    return what


def _sound_uri(sound: SheetSound) -> str:
    """Return the sound as an MP3 data URI: every browser plays it (ISO/IEC 11172-3; RFC 2397)."""
    from io import BytesIO

    import numpy as np
    import soundfile
    import soxr

    rate = sound.sample_rate_hz
    samples = np.asarray(sound.samples[: round(LONGEST_SOUND_S * rate)], dtype=np.float32)
    if rate > SHEET_RATE_HZ:
        samples, rate = soxr.resample(samples, rate, SHEET_RATE_HZ), SHEET_RATE_HZ
    stream = BytesIO()
    soundfile.write(stream, samples, rate, format="MP3", subtype="MPEG_LAYER_III")
    return f"data:audio/mpeg;base64,{base64.b64encode(stream.getvalue()).decode('ascii')}"
