"""The letters in a mark of a drawing; sharps and flats are drawn, since few fonts have them as large as their figures.

Conventions: units are CSS pixels; sizes are shares of the letters' size.
"""

from __future__ import annotations

import re

from listen.export.labels import printed
from listen.export.markup import escape

SIZES = (12.0, 10.5, 9.0)  # px, of labels of one, two, three letters and more
CAP = 0.72  # height of a capital letter or a figure
LETTER = 0.64  # width of a figure, bold, and a little air
SIGN = 0.5  # width of a sharp or a flat, and a little air
_RUN = re.compile("[♯♭]|[^♯♭]+")
_STROKE = 0.11


def draw_label(x: float, y: float, label: str, *, color: str) -> str:
    """Draw a label around a place.

    Parameters
    ----------
    x, y : float
    label : str
        In plain letters: ``b7``, ``F#``.
    color : str

    Returns
    -------
    str
        SVG elements; text in them is escaped.
    """
    size = SIZES[min(len(label), len(SIZES)) - 1]
    runs = _RUN.findall(printed(label))
    widths = [size * (SIGN if run in "♯♭" else LETTER * len(run)) for run in runs]
    left, parts = x - sum(widths) / 2, []
    for run, width in zip(runs, widths, strict=True):
        middle = left + width / 2
        if run in "♯♭":
            path = _sharp(middle, y, size) if run == "♯" else _flat(middle, y, size)
            parts.append(
                f"<path class='sign' d='{path}' stroke='{color}' stroke-width='{_STROKE * size:.2f}' fill='none'/>"
            )
        else:
            parts.append(
                f"<text x='{middle:.1f}' y='{y + size * CAP / 2:.1f}' fill='{color}' font-size='{size:g}' "
                f"font-weight='600'>{escape(run)}</text>"
            )
        left += width
    return "".join(parts)


def _sharp(x: float, y: float, size: float) -> str:
    """Return two stems and two bars that rise to the right."""
    stem, half, bar, rise, apart = 0.085 * size, 0.46 * size, 0.2 * size, 0.045 * size, 0.14 * size
    stems = "".join(
        f"M{x + at:.1f} {y - half - lift:.1f}v{2 * half:.1f}" for at, lift in ((-stem, -rise), (stem, rise))
    )
    bars = "".join(f"M{x - bar:.1f} {y + at + rise:.1f}l{2 * bar:.1f} {-2 * rise:.1f}" for at in (-apart, apart))
    return stems + bars


def _flat(x: float, y: float, size: float) -> str:
    """Return a stem and its bowl."""
    left, top, low = x - 0.14 * size, y - 0.55 * size, y + CAP / 2 * size
    bowl = f"c{0.45 * size:.1f} {-0.3 * size:.1f} {0.4 * size:.1f} {-0.62 * size:.1f} 0 {-0.36 * size:.1f}"
    return f"M{left:.1f} {top:.1f}V{low:.1f}{bowl}"
