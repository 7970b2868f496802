"""A part as a file in the form that an ending names, with the sound that its sheet plays."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import replace

from listen import export
from listen.document import render_chart_text
from listen.evidence import TimeSpan
from listen.export import (
    MOST_SOUND_BYTES,
    SHEET_RATE_HZ,
    NameStyle,
    SheetSound,
    compress,
    keep_track,
    lay_tracks,
    part_to_assignment,
    stream_beside,
    stream_part,
)
from listen.reading import Part
from listen.request.part_written import find_recording

LONGEST_SOUND_S = 3000.0  # more does not fit a page (MOST_SOUND_BYTES), so it need not be rendered
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
    span = part.recording.span
    beginning = TimeSpan(span.start_s, min(span.end_s, span.start_s + LONGEST_SOUND_S))
    shown = replace(part, recording=replace(part.recording, span=beginning))
    sounds = [stream_part(shown, sample_rate_hz=SHEET_RATE_HZ)]
    path = find_recording(file, part)
    if path is not None:  # else a part that was written before, and its recording is elsewhere
        sounds.insert(0, stream_beside(path, shown, sample_rate_hz=SHEET_RATE_HZ))
    with ExitStack() as stack:
        tracks = [stack.enter_context(keep_track(sound)) for sound in sounds]
        mp3, cut_s = compress(
            lay_tracks(tracks), n_channels=len(tracks), sample_rate_hz=SHEET_RATE_HZ, most_bytes=MOST_SOUND_BYTES
        )
    if cut_s is None and beginning != span:
        cut_s = LONGEST_SOUND_S
    return SheetSound(mp3, is_beside=len(tracks) == 2, cut_s=cut_s)
