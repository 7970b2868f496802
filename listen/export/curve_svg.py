"""The sound of a bar as a curve, with the strokes that were heard in it.

Conventions: time runs to the right; the curve is the loudest sample of each short step, mirrored; units are CSS pixels,
across it per cent. An arrow points the way the hand moved, a cross is a damped stroke, a dot a string picked alone.
"""

from __future__ import annotations

from collections.abc import Sequence

from listen.export.bar import Bar
from listen.export.markup import escape
from listen.export.svg import ACCENT, FONT, INK, QUIET, WIRE
from listen.reading import PICKED, Stroke

_HEIGHT, _TOP, _BOTTOM = 64.0, 20.0, 16.0  # of the drawing, in px


def render_curve_svg(bar: Bar, curve: Sequence[int], *, step_s: float, beats_s: Sequence[float], ident: str) -> str:
    """Draw a bar.

    Parameters
    ----------
    bar : Bar
    curve : sequence of int, 0..255
        The loudest sample of each step of the whole recording.
    step_s : float
    beats_s : sequence of float
        Of the part; those inside the bar are marked.
    ident : str
        Unique on the page.

    Returns
    -------
    str
        One ``<svg>`` element.
    """
    length_s = max(bar.end_s - bar.start_s, 1e-6)
    bottom = _TOP + _HEIGHT

    def x(time_s: float) -> str:
        return f"{100 * min(0.994, max(0.006, (time_s - bar.start_s) / length_s)):.2f}%"

    parts = [
        (
            f"<svg role='img' class='curve' width='100%' height='{bottom + _BOTTOM:.0f}' "
            f"aria-labelledby='{ident}-title {ident}-text' {FONT} font-size='12'>"
        ),
        (
            f"<title id='{ident}-title'>The sound of the bar and its strokes</title>"
            f"<desc id='{ident}-text'>{escape(_tell(bar))}</desc>"
        ),
        _draw_curve(curve[max(0, int(bar.start_s / step_s)) : int(bar.end_s / step_s) + 1]),
    ]
    for at, beat_s in enumerate(beat for beat in beats_s if bar.start_s - 0.02 <= beat < bar.end_s - 0.02):
        parts.append(
            f"<line x1='{x(beat_s)}' x2='{x(beat_s)}' y1='{bottom}' y2='{bottom + 5}' stroke='{WIRE}'/>"
            f"<text x='{x(beat_s)}' dx='4' y='{bottom + 14}' fill='{QUIET}' font-size='11'>{at + 1}</text>"
        )
    for placed in bar.strokes:
        at_s = x(placed.stroke.span.start_s)
        parts.append(
            f"<line x1='{at_s}' x2='{at_s}' y1='{_TOP - 2}' y2='{bottom}' stroke='{INK}' stroke-width='1.2'/>"
            f"<text x='{at_s}' y='{_TOP - 6}' fill='{INK}' font-size='15' font-weight='700' text-anchor='middle'>"
            f"{_sign(placed.stroke)}</text>"
        )
    return "\n".join([*filter(None, parts), "</svg>"])


def _draw_curve(loud: Sequence[int]) -> str:
    """Draw the levels as a shape that is stretched to the width there is, without stretching the letters beside it."""
    if not loud:
        return ""
    top, half = max(loud) or 1, _HEIGHT / 2
    upper = [f"{at},{half - half * level / top:.1f}" for at, level in enumerate(loud)]
    lower = [f"{at},{half + half * level / top:.1f}" for at, level in enumerate(loud)]
    return (
        f"<svg y='{_TOP}' width='100%' height='{_HEIGHT}' viewBox='0 0 {len(loud)} {_HEIGHT}' "
        f"preserveAspectRatio='none'><polygon points='{' '.join([*upper, *reversed(lower)])}' fill='{ACCENT}' "
        "opacity='.3'/></svg>"
    )


def _sign(stroke: Stroke) -> str:
    if stroke.kind == "muted":
        return "×"
    if stroke.kind in PICKED:
        return "•"
    return {"down": "↓", "up": "↑"}.get(stroke.direction or "", "↕")


def _tell(bar: Bar) -> str:
    words = {"↓": "down", "↑": "up", "↕": "stroke", "×": "damped", "•": "picked"}
    told = [f"{placed.stroke.span.start_s - bar.start_s:.2f} s {words[_sign(placed.stroke)]}" for placed in bar.strokes]
    return f"Strokes: {', '.join(told)}." if told else "No stroke."
