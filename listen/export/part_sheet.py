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
from typing import TYPE_CHECKING, Any

from listen.export.bar import Bar, find_metre
from listen.export.bars import find_bars
from listen.export.chart import head_facts
from listen.export.chart_remarks import other_settings, setting_fact, span_remarks
from listen.export.diagram import shape_to_diagram
from listen.export.held_names import HeldNames, NameStyle, clock_text
from listen.export.labels import printed
from listen.export.page import as_drawing, render_page
from listen.export.shapes_page import render_shapes_svg
from listen.export.shapes_view import ShapeGroup, ShapesView, shape_to_card
from listen.export.sheet_lines import lay_out_lines, play_span
from listen.export.stroke_signs import ARROWS, pattern_rows
from listen.export.style import TextStyle
from listen.export.svg import render_diagram_svg
from listen.export.tablature import tablature_staves
from listen.export.told_words import find_title
from listen.export.words import sure_text
from listen.instrument import caution_for
from listen.reading import ChordSpan, Part, ShapeReading

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

SHEET_RATE_HZ = 22_050
LONGEST_SOUND_S = 600.0  # ten minutes of two channels take about 10 MB
SHEET_WIDTH = 84  # columns of tablature that fit on paper


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
        "title": find_title(part),
        "facts": _facts(part, called),
        "remarks": _remarks(part),
        "shapes": [
            _shape(span, shape, part, called, ident=f"shape{at}", left_handed=left_handed)
            for at, (span, shape) in enumerate(zip(shapes, held, strict=True))
        ],
        "cautions": sorted({text for shape in held if (text := caution_for(shape.fingering))}),
        "pattern": _pattern(part),
        "lines": lay_out_lines(bars, called, part) if measured else [],
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
    title = find_title(part)
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


def _stretch(bar: Bar, names: HeldNames, part: Part) -> dict[str, Any]:
    return {
        "number": bar.number,
        "plays": play_span(bar, part.span.start_s),
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
