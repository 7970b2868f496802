"""A part as a file in the form that an ending names, with the sound that its sheet plays."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from listen import export
from listen.document import render_chart_text
from listen.evidence import TimeSpan
from listen.export import (
    LONGEST_SOUND_S,
    SHEET_RATE_HZ,
    NameStyle,
    SheetSound,
    lay_beside,
    load_beside,
    part_to_assignment,
    render_part,
)
from listen.reading import Part
from listen.request.part_written import find_recording

_PLAIN: dict[str, Callable[[Part], str | bytes]] = {
    ".musicxml": export.render_musicxml,
    ".mid": export.render_midi,
    ".csv": export.render_csv,
    ".lab": export.render_labels,
    ".chart": lambda part: render_chart_text(part_to_assignment(part)),
}


def render_part_file(
    part: Part, file: str, suffix: str, *, names: NameStyle = "played", left_handed: bool = False
) -> str | bytes:
    """Render a part.

    Parameters
    ----------
    part : Part
    file : str
        Where it comes from: its recording, or its document, beside which its recording may lie.
    suffix : str
        ``".html"``, ``".musicxml"``, ``".mid"``, ``".csv"``, ``".lab"``, ``".chart"``, ``".tab"`` or ``".svg"``.
    names : "played", "sounding", "nashville" or "roman"
    left_handed : bool
    """
    if suffix in _PLAIN:
        return _PLAIN[suffix](part)
    if suffix == ".tab":
        return export.render_tablature(part, names=names)
    if suffix == ".svg":
        return export.render_part_boxes(part, names=names, left_handed=left_handed)
    return export.render_part_sheet(part, sound=load_part_sound(part, file), names=names, left_handed=left_handed)


def load_part_sound(part: Part, file: str) -> SheetSound:
    """Load the recording for a player, the part on strings beside it; of a long one its beginning."""
    shown = replace(part, span=TimeSpan(part.span.start_s, min(part.span.end_s, part.span.start_s + LONGEST_SOUND_S)))
    rendered = render_part(shown, sample_rate_hz=SHEET_RATE_HZ)
    path = find_recording(file, part)
    if path is None:  # a part that was written before, and its recording is elsewhere
        return SheetSound(rendered, SHEET_RATE_HZ)
    recording = load_beside(path, shown, sample_rate_hz=SHEET_RATE_HZ)
    return SheetSound(lay_beside(recording, rendered), SHEET_RATE_HZ)
