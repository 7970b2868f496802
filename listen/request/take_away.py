"""What can be taken away of a part, each in the form that an ending names, and what it is for a browser."""

from __future__ import annotations

from pathlib import Path

from listen.document import render_part_pieces
from listen.errors import bad_value
from listen.export import PLAY_RATE_HZ, NameStyle, render_chart, render_part, samples_to_wav
from listen.reading import Part
from listen.request.part_file import render_part_file

TAKEN_AWAY = {
    "html": "text/html; charset=utf-8",
    "musicxml": "application/vnd.recordare.musicxml+xml",
    "mid": "audio/midi",
    "txt": "text/plain; charset=utf-8",
    "csv": "text/csv; charset=utf-8",
    "lab": "text/plain; charset=utf-8",
    "tab": "text/plain; charset=utf-8",
    "svg": "image/svg+xml",
    "wav": "audio/wav",
    "json": "application/json",
}
"""A sheet, MusicXML, MIDI, a chart in text, rows, labels, tablature, shapes, the part on strings, the part document."""


def render_taken_away(
    part: Part, kind: str, sound: Path, *, names: NameStyle = "played", left_handed: bool = False
) -> str | bytes:
    """Render a part as one of :data:`TAKEN_AWAY`; `sound` is its recording, for the sheet's player."""
    if kind not in TAKEN_AWAY:
        raise bad_value("kind", kind, allowed=f"one of {', '.join(TAKEN_AWAY)}")
    if kind == "json":
        return "".join(render_part_pieces(part))
    if kind == "txt":
        return render_chart(part)
    if kind == "wav":
        return samples_to_wav(render_part(part), sample_rate_hz=PLAY_RATE_HZ)
    file = str(sound) if sound.is_file() else "part.json"
    return render_part_file(part, file, f".{kind}", names=names, left_handed=left_handed)
