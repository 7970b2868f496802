"""The sound of a bar as a curve, with the strokes that were heard in it.

Conventions: time runs to the right; the curve is the loudest sample of each short step, mirrored; units are CSS pixels.
An arrow points the way the hand moved, a cross is a damped stroke, a dot a string picked alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from listen.export.bars import Bar
from listen.export.svg import ACCENT, FONT, INK, QUIET, WIRE
from listen.reading import Stroke

_WIDTH, _HEIGHT, _TOP, _BOTTOM = 760.0, 64.0, 20.0, 16.0


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
    first, last = int(bar.start_s / step_s), int(bar.end_s / step_s) + 1
    loud = list(curve[max(0, first) : last])
    top = max(loud, default=0) or 1
    middle, half = _TOP + _HEIGHT / 2, _HEIGHT / 2
    n = max(1, last - first)
    upper = [f"{_WIDTH * at / n:.1f},{middle - half * level / top:.1f}" for at, level in enumerate(loud)]
    lower = [f"{_WIDTH * at / n:.1f},{middle + half * level / top:.1f}" for at, level in enumerate(loud)]
    length_s = max(bar.end_s - bar.start_s, 1e-6)

    def x(time_s: float) -> float:
        return _WIDTH * min(1.0, max(0.0, (time_s - bar.start_s) / length_s))

    bottom = _TOP + _HEIGHT
    words = _tell(bar)
    parts = [
        (
            f"<svg role='img' class='curve' viewBox='0 0 {_WIDTH:.0f} {bottom + _BOTTOM:.0f}' preserveAspectRatio='none' "
            f"aria-labelledby='{ident}-title {ident}-text' {FONT} font-size='12'>"
        ),
        f"<title id='{ident}-title'>The sound of the bar and its strokes</title>",
        f"<desc id='{ident}-text'>{escape(words)}</desc>",
        f"<polygon points='{' '.join([*upper, *reversed(lower)])}' fill='{ACCENT}' opacity='.3'/>" if loud else "",
    ]
    for at, beat_s in enumerate(beat for beat in beats_s if bar.start_s - 0.02 <= beat < bar.end_s - 0.02):
        parts.append(
            f"<line x1='{x(beat_s):.1f}' x2='{x(beat_s):.1f}' y1='{bottom}' y2='{bottom + 5}' stroke='{WIRE}'/>"
            f"<text x='{x(beat_s) + 3:.1f}' y='{bottom + 14}' fill='{QUIET}' font-size='11'>{at + 1}</text>"
        )
    for placed in bar.strokes:
        at = x(placed.stroke.span.start_s)
        parts.append(
            f"<line x1='{at:.1f}' x2='{at:.1f}' y1='{_TOP - 2}' y2='{bottom}' stroke='{INK}' stroke-width='1.2'/>"
            f"<text x='{min(max(at, 7.0), _WIDTH - 7):.1f}' y='{_TOP - 6}' fill='{INK}' font-size='15' font-weight='700' "
            f"text-anchor='middle'>{_sign(placed.stroke)}</text>"
        )
    return "\n".join([*filter(None, parts), "</svg>"])


def _sign(stroke: Stroke) -> str:
    if stroke.kind == "muted":
        return "×"
    if stroke.kind in ("bass", "single"):
        return "•"
    return {"down": "↓", "up": "↑"}.get(stroke.direction or "", "↕")


def _tell(bar: Bar) -> str:
    words = {"↓": "down", "↑": "up", "↕": "stroke", "×": "damped", "•": "one string"}
    told = [f"{placed.stroke.span.start_s - bar.start_s:.2f} s {words[_sign(placed.stroke)]}" for placed in bar.strokes]
    return f"Strokes: {', '.join(told)}." if told else "No stroke."
