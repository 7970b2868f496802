"""What can be taken away of a part, each in the form that an ending names, and what it is for a browser."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

from listen.document import render_part_pieces
from listen.errors import bad_value
from listen.export import PLAY_RATE_HZ, NameStyle, keep_track, lay_tracks, render_chart, stream_part, wav_pieces
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
    "chart": "text/plain; charset=utf-8",
    "svg": "image/svg+xml",
    "wav": "audio/wav",
    "json": "application/json",
}
"""A sheet, MusicXML, MIDI, a chart in text, rows, labels, tablature, the chart to set as homework, shapes, the part on
strings, the part document."""


def render_taken_away(
    part: Part, kind: str, sound: Path, *, names: NameStyle = "played", left_handed: bool = False
) -> str | bytes | Iterator[str] | Iterator[bytes]:
    """Render a part as one of :data:`TAKEN_AWAY`, in pieces what may be long; `sound` is its recording."""
    if kind not in TAKEN_AWAY:
        raise bad_value("kind", kind, allowed=f"one of {', '.join(TAKEN_AWAY)}")
    if kind == "json":
        return render_part_pieces(part)
    if kind == "txt":
        return render_chart(part)
    if kind == "wav":
        return _stream_wav(part)
    file = str(sound) if sound.is_file() else "part.json"
    return render_part_file(part, file, f".{kind}", names=names, left_handed=left_handed)


def _stream_wav(part: Part) -> Iterator[bytes]:
    """Play a part at once, so that what goes wrong is said before anything is sent; then yield it piece by piece."""
    stack = ExitStack()
    track = stack.enter_context(keep_track(stream_part(part)))

    def take() -> Iterator[bytes]:
        with stack:
            yield from wav_pieces(
                lay_tracks([track]), n_frames=track.n_samples, n_channels=1, sample_rate_hz=PLAY_RATE_HZ
            )

    return take()
