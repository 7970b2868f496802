"""A part as sound: its notes on the project's strings, a click, and the recording beside it.

Conventions: samples are float32, -1..1, and begin with the stretch of the recording that the part was read from, so
that a part and its recording run together. The strings are tuned as the recording was (its offset from A4 = 440 Hz).
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any

from listen.errors import BadValueError
from listen.export.midi import played_notes
from listen.instrument import Fretboard
from listen.reading import Part, PlayedNote, Stroke

if TYPE_CHECKING:
    from pathlib import Path

    import numpy as np
    import numpy.typing as npt

    from listen.synthesis import PluckedNote

PLAY_RATE_HZ = 44_100
TAIL_S = 2.0  # the last chord rings on
QUIETEST_DB = -40.0
DAMPED_DB = -8.0  # a damped stroke against an ordinary one
CLICK_HZ, DOWNBEAT_HZ = 1000.0, 1500.0
CLICK_S = 0.03
CLICK_PEAK = 0.25  # about 9 dB under the strings
PEAK = 0.7  # nobody should be startled
LONGEST_PLAY_S = 1200.0  # what the strings render in one piece


def render_part(
    part: Part, *, sample_rate_hz: int = PLAY_RATE_HZ, click: bool = False, guitar: str = "steel", seed: int = 0
) -> npt.NDArray[np.float32]:
    """Render a part with the project's strings.

    Parameters
    ----------
    part : Part
    sample_rate_hz : int
    click : bool
        Whether a click marks the beats, the first of each bar higher.
    guitar : "steel", "nylon" or "electric"
    seed : int
        Same seed, same samples.

    Returns
    -------
    ndarray of float32, shape (n,), mono

    Raises
    ------
    BadValueError
        The part is longer than :data:`LONGEST_PLAY_S`, or a click is asked for and it has no beats.
    """
    import numpy as np

    from listen.instrument import find_string_table
    from listen.synthesis import Tone, render_notes

    find_string_table(guitar)  # says which kinds there are
    length_s = part.span.end_s - part.span.start_s + TAIL_S
    if length_s > LONGEST_PLAY_S:
        raise BadValueError(
            f"The part is {length_s / 60:.0f} minutes long; up to {LONGEST_PLAY_S / 60:.0f} can be rendered. Read a "
            "shorter stretch with --from and --to."
        )
    if click and not part.beats_s:
        raise BadValueError("The part is in free time and has no beats to click; leave the click out.")
    tone = Tone(
        guitar=guitar,  # type: ignore[arg-type]  # checked above
        tuning_offset_cents=part.tuning_offset_cents,
        sample_rate_hz=sample_rate_hz,
        seed=seed,
    )
    plucks = find_plucks(part)
    samples = render_notes(plucks, tone=tone, duration_s=length_s)
    if click:
        clicks = _render_clicks(part, samples.size, sample_rate_hz)
        samples = samples + clicks
        samples *= min(1.0, PEAK / max(float(np.abs(samples).max()), 1e-9))
    return np.asarray(samples, dtype=np.float32)


def find_plucks(part: Part) -> tuple[PluckedNote, ...]:
    """Return every pluck of a string, damped strokes too, from the start of the part's stretch."""
    from listen.instrument import find_string_kinds
    from listen.synthesis import PluckedNote

    board = part.fretboard
    kinds = find_string_kinds(board.tuning.open_strings)
    plucks = []
    for note in played_notes(part):
        string, kind, fret = _string_of(note, board, kinds)
        plucks.append(
            PluckedNote(
                onset_s=max(0.0, note.start_s - part.span.start_s),
                pitch=note.pitch,
                string=string,
                kind=kind,
                fret=fret,
                level_db=max(QUIETEST_DB, min(0.0, note.level_db)),
                duration_s=max(0.02, note.end_s - note.start_s),
                mute="palm" if "palm mute" in note.marks else "open",
            )
        )
    for event in part.events:
        for stroke in event.strokes:
            if stroke.kind == "muted":
                plucks += _damped(stroke, part, kinds)
    return tuple(sorted(plucks, key=lambda pluck: pluck.onset_s))


def load_beside(path: Path, part: Part, *, sample_rate_hz: int = PLAY_RATE_HZ) -> npt.NDArray[np.float32]:
    """Read the stretch of a recording that a part was read from.

    Returns
    -------
    ndarray of float32, shape (n,), mono

    Raises
    ------
    RecordingError, BadValueError
        The recording cannot be read, or is shorter than the part.
    """
    import numpy as np

    from listen.audio import load_recording

    recording = load_recording(path, channel=part.channel, span=part.span)
    samples = recording.samples
    if recording.sample_rate_hz != sample_rate_hz:
        import soxr

        samples = soxr.resample(samples, recording.sample_rate_hz, sample_rate_hz)
    return np.asarray(samples, dtype=np.float32)


def lay_beside(recording: npt.NDArray[np.float32], rendered: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    """Put a recording on the left channel and a rendering on the right, equally loud.

    Parameters
    ----------
    recording, rendered : ndarray of float32, shape (n,), mono, at one sample rate
        They begin together; the shorter one is filled up with silence.

    Returns
    -------
    ndarray of float32, shape (n, 2)
    """
    import numpy as np

    n = max(recording.size, rendered.size)
    both = np.zeros((n, 2), dtype=np.float32)
    for column, samples in enumerate((recording, rendered)):
        level = float(np.sqrt(np.mean(np.square(samples, dtype=np.float64)))) if samples.size else 0.0
        both[: samples.size, column] = samples / level if level > 0 else samples
    peak = float(np.abs(both).max(initial=0.0))
    return both * np.float32(PEAK / peak) if peak > 0 else both


def samples_to_wav(samples: npt.NDArray[np.float32], *, sample_rate_hz: int) -> bytes:
    """Return a 16-bit WAV file; shape (n,) is mono, (n, 2) stereo."""
    from io import BytesIO

    import soundfile

    stream = BytesIO()
    soundfile.write(stream, samples, sample_rate_hz, format="WAV", subtype="PCM_16")
    return stream.getvalue()


def _string_of(note: PlayedNote, board: Fretboard, kinds: tuple[int, ...]) -> tuple[int, int, int]:
    """Return string, kind of string and fret from the nut; a note without a string gets one of its own."""
    opened = board.tuning.open_strings
    if note.string_index is None:
        string = min(range(len(opened)), key=lambda index: abs(opened[index].midi + 4 - note.pitch.midi))
        return board.n_strings + note.pitch.midi, kinds[string], max(0, note.pitch.midi - opened[string].midi)
    fret = max(0, note.pitch.midi - opened[note.string_index].midi)
    return note.string_index, kinds[note.string_index], fret


def _damped(stroke: Stroke, part: Part, kinds: tuple[int, ...]) -> list[PluckedNote]:
    from listen.synthesis import PluckedNote

    order = list(enumerate(part.fretboard.open_pitches))
    if stroke.direction == "up":
        order.reverse()
    return [
        PluckedNote(
            onset_s=max(0.0, stroke.span.start_s - part.span.start_s) + 0.003 * place,
            pitch=pitch,
            string=string,
            kind=kinds[string],
            level_db=max(QUIETEST_DB, DAMPED_DB + min(0.0, stroke.level_db)),
            duration_s=0.08,
            mute="dead",
        )
        for place, (string, pitch) in enumerate(order)
    ]


def _render_clicks(part: Part, n_samples: int, sample_rate_hz: int) -> Any:
    import numpy as np

    clicks = np.zeros(n_samples, dtype=np.float32)
    time_s = np.arange(round(CLICK_S * sample_rate_hz)) / sample_rate_hz
    envelope = CLICK_PEAK * np.exp(-time_s / (CLICK_S / 5.0))
    near = 0.25 * min((after - before for before, after in pairwise(part.beats_s)), default=1.0)
    downbeats = np.asarray(part.bars_s)
    for beat_s in part.beats_s:
        start = round((beat_s - part.span.start_s) * sample_rate_hz)
        if not 0 <= start < n_samples:
            continue
        is_first = downbeats.size > 0 and float(np.abs(downbeats - beat_s).min()) < near
        sound = envelope * np.sin(2.0 * np.pi * (DOWNBEAT_HZ if is_first else CLICK_HZ) * time_s)
        stop = min(start + sound.size, n_samples)
        clicks[start:stop] += sound[: stop - start].astype(np.float32)
    return clicks
