"""The spectrum of a strum, and under it one lane a note with that note's harmonics as they were found.

A peak alone proves little: a lane shows whether the peaks belong together. A filled bar is a harmonic that no other
note of the strum explains, an outlined one is shared; the square is the fundamental. Read down from a peak to
see which notes claim it.

Conventions: frequency runs to the right on a logarithmic axis (an octave is always as wide); level upwards in dB
against the strongest peak; units are CSS pixels.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from listen.evidence import Partial
from listen.export.labels import pitch_text, printed
from listen.export.markup import escape
from listen.export.svg import ACCENT, FONT, INK, QUIET, WIRE
from listen.theory import Pitch

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from listen.reading import StrumReading

LOW_HZ, HIGH_HZ = 60.0, 5_000.0  # below the low E (82 Hz) to the tenth harmonic of a high one
FLOOR_DB = -60.0  # the foot of the picture: what lies lower is noise; judged
LONGEST_S = 1.2  # after that the trebles have died away
_WIDTH, _LEFT, _RIGHT, _TOP, _HEIGHT, _LANE = 760.0, 52.0, 8.0, 8.0, 170.0, 19.0  # of the drawing, in px


def render_spectrum_svg(
    samples: npt.NDArray[np.float32], *, sample_rate_hz: int, start_s: float, reading: StrumReading, ident: str
) -> str:
    """Draw what was heard.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,), mono
    sample_rate_hz : int
    start_s : float
        Where the samples begin in the recording.
    reading : StrumReading
    ident : str
        Unique on the page.

    Returns
    -------
    str
        One ``<svg>`` element.
    """
    chord = reading.names[0].chord if reading.names else None
    heard = {evidence.pitch: evidence for evidence in reading.evidence.pitches}
    lanes = [(note.pitch, heard[note.pitch].partials if note.pitch in heard else ()) for note in reading.notes]
    span = reading.evidence.span
    first = max(0, int((span.start_s - start_s) * sample_rate_hz))
    last = int((min(span.end_s, span.start_s + LONGEST_S) - start_s) * sample_rate_hz)
    levels = _measure_levels(samples[first:last], sample_rate_hz=sample_rate_hz)
    bottom = _TOP + _HEIGHT
    height = bottom + 20 + _LANE * len(lanes) + 6
    notes = ", ".join(printed(pitch_text(pitch, chord)) for pitch, _ in lanes) or "no notes"
    told = "; ".join(_tell_lane(pitch_text(pitch, chord), partials) for pitch, partials in lanes)
    names = f"{ident}-title {ident}-text"
    parts = [
        f"<svg role='img' viewBox='0 0 {_WIDTH:.0f} {height:.0f}' aria-labelledby='{names}' {FONT} font-size='11'>",
        f"<title id='{ident}-title'>Spectrum with the harmonics of {escape(notes)}</title>",
        f"<desc id='{ident}-text'>{escape(told)}</desc>",
        *_draw_axes(bottom),
        _draw_curve(levels),
    ]
    for row, (pitch, partials) in enumerate(lanes):
        name = printed(pitch_text(pitch, chord))
        parts += _draw_lane(name, partials, y=bottom + 22 + _LANE * (row + 1), until=_TOP)
    return "\n".join([*parts, "</svg>"])


def _x(frequency_hz: float) -> float:
    share = math.log(frequency_hz / LOW_HZ) / math.log(HIGH_HZ / LOW_HZ)
    return _LEFT + share * (_WIDTH - _LEFT - _RIGHT)


def _y(level_db: float) -> float:
    return _TOP + _HEIGHT * min(1.0, max(0.0, level_db / FLOOR_DB))


def _measure_levels(samples: npt.NDArray[np.float32], *, sample_rate_hz: int) -> list[tuple[float, float]]:
    """Return (x, level in dB) of the strongest bin in each pixel column, Hann window, padded to an eighth of a bin."""
    import numpy as np

    if len(samples) < 64 or not np.any(samples):
        return []
    n_fft = 1 << (8 * len(samples) - 1).bit_length()
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), min(n_fft, 1 << 19)))
    frequencies = np.linspace(0.0, sample_rate_hz / 2, len(spectrum))
    kept = (frequencies >= LOW_HZ) & (frequencies <= min(HIGH_HZ, 0.49 * sample_rate_hz))
    decibels = 20 * np.log10(spectrum[kept] / spectrum[kept].max() + 1e-6)
    columns = np.array([round(_x(f)) for f in frequencies[kept]])
    starts = np.flatnonzero(np.diff(columns, prepend=-1))
    strongest = np.maximum.reduceat(decibels, starts)
    return [(float(columns[at]), float(level)) for at, level in zip(starts, strongest, strict=True)]


def _draw_axes(bottom: float) -> list[str]:
    parts = []
    for level in (0, -20, -40, -60):
        y = _y(level)
        parts.append(
            f"<line x1='{_LEFT}' x2='{_WIDTH - _RIGHT}' y1='{y:.1f}' y2='{y:.1f}' stroke='{WIRE}' opacity='.35'/>"
        )
        label = "0 dB" if level == 0 else str(level).replace("-", "−")
        parts.append(f"<text x='{_LEFT - 6}' y='{y + 4:.1f}' fill='{QUIET}' text-anchor='end'>{label}</text>")
    for frequency in (100, 200, 500, 1000, 2000, 5000):
        x, label = _x(frequency), f"{frequency} Hz" if frequency < 1000 else f"{frequency // 1000} kHz"
        anchor = "end" if frequency == 5000 else "middle"
        parts.append(
            f"<line x1='{x:.1f}' x2='{x:.1f}' y1='{_TOP}' y2='{bottom + 5:.0f}' stroke='{WIRE}' opacity='.35'/>"
        )
        parts.append(f"<text x='{x:.1f}' y='{bottom + 17:.0f}' fill='{QUIET}' text-anchor='{anchor}'>{label}</text>")
    return parts


def _draw_curve(levels: list[tuple[float, float]]) -> str:
    if not levels:
        return ""
    points = " ".join(f"{x:.0f},{_y(level):.1f}" for x, level in levels)
    floor = f"{_TOP + _HEIGHT:.0f}"
    area = f"{levels[0][0]:.0f},{floor} {points} {levels[-1][0]:.0f},{floor}"
    return (
        f"<polygon points='{area}' fill='{ACCENT}' opacity='.12'/>"
        f"<polyline points='{points}' fill='none' stroke='{ACCENT}' stroke-width='1.2' stroke-linejoin='round'/>"
    )


def _draw_lane(name: str, partials: tuple[Partial, ...], *, y: float, until: float) -> list[str]:
    middle = y - 6
    label = escape(name)
    parts = [
        f"<text x='{_LEFT - 6}' y='{y - 2:.1f}' fill='{INK}' text-anchor='end' font-weight='600'>{label}</text>",
        f"<line x1='{_LEFT}' x2='{_WIDTH - _RIGHT}' y1='{middle:.1f}' y2='{middle:.1f}' stroke='{WIRE}' opacity='.5'/>",
    ]
    for partial in partials:
        if not LOW_HZ <= partial.frequency_hz <= HIGH_HZ:
            continue
        x = _x(partial.frequency_hz)
        tall = 3 + 11 * (1 - min(1.0, max(0.0, partial.level_db / FLOOR_DB)))
        fill = "none" if partial.shared else INK
        wide = 7.0 if partial.number == 1 else 3.5
        if partial.number == 1:
            parts.append(
                f"<line x1='{x:.1f}' x2='{x:.1f}' y1='{until}' y2='{middle:.1f}' stroke='{INK}' stroke-width='.7' "
                "stroke-dasharray='1 3'/>"
            )
            tall = 9.0
        parts.append(
            f"<rect x='{x - wide / 2:.1f}' y='{middle - tall / 2:.1f}' width='{wide}' height='{tall:.1f}' "
            f"fill='{fill}' stroke='{INK}' stroke-width='1'/>"
        )
    return parts


def _tell_lane(name: str, partials: tuple[Partial, ...]) -> str:
    own = sum(not partial.shared for partial in partials)
    return f"{printed(name)}: {len(partials)} harmonics found, {own} of them its own"


def tell_harmonics(pitch: Pitch, reading: StrumReading) -> str:
    """Say how many harmonics of a note were found, for a table."""
    for evidence in reading.evidence.pitches:
        if evidence.pitch == pitch and evidence.partials:
            own = sum(not partial.shared for partial in evidence.partials)
            return f"{len(evidence.partials)}, {own} of its own"
    return "–"
