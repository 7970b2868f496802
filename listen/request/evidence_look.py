"""What was heard at one strum of a part, as HTML: its spectrum with each note's harmonics, and what does not fit."""

from __future__ import annotations

from pathlib import Path

from listen.errors import RecordingError, bad_value
from listen.evidence import TimeSpan
from listen.export import ListenedStretch, render_evidence_fragment
from listen.reading import Part

AROUND_S = 3.0  # of a recording heard around a strum; judged


def render_evidence(part: Part, number: int, path: Path) -> str:
    """Hear one strum again, by itself and with its physics, and show it.

    Parameters
    ----------
    part : Part
    number : int
        Of the event.
    path : Path
        The recording.

    Raises
    ------
    BadValueError, RecordingError
        There is no such event, or the recording is not there.
    """
    from listen.audio import load_recording  # heavy
    from listen.transcription import StrumSettings, read_recording

    event = next((event for event in part.events if event.number == number and event.strokes), None)
    if event is None:
        raise bad_value("event", number, allowed="the number of a strum")
    if not path.is_file():
        raise RecordingError("The recording is not here: there is nothing to look at.")
    at_s = event.strokes[0].span.start_s
    span = TimeSpan(max(0.0, at_s - AROUND_S), at_s + AROUND_S)
    take = read_recording(path, span=span, at_s=at_s, settings=StrumSettings(fretboard=part.fretboard))
    sound = load_recording(path, span=span)
    return render_evidence_fragment(take, ListenedStretch(sound.samples, sound.sample_rate_hz, sound.start_s))
