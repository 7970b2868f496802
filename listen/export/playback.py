"""A part as sound: its notes on the project's strings, a click, and the recording beside it.

Conventions: sound comes in blocks of float32 samples (:mod:`listen.export.track`) and begins with the stretch of the
recording that the part was read from, so that a part and its recording run together. The strings are tuned as the
recording was (its offset from A4 = 440 Hz).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from listen.errors import BadValueError
from listen.export.midi import played_notes
from listen.export.track import keep_track, lay_tracks
from listen.instrument import Fretboard
from listen.reading import Part, PlayedNote, Stroke
from listen.synthesis import PEAK

if TYPE_CHECKING:
    from pathlib import Path

    import numpy as np
    import numpy.typing as npt

    from listen.synthesis import PluckedNote

PLAY_RATE_HZ = 44_100
TAIL_S = 2.0  # the last chord rings on
QUIETEST_DB = -40.0  # softer strokes would not be heard beside the others; judged
DAMPED_DB = -8.0  # a damped stroke against an ordinary one
CLICK_HZ, DOWNBEAT_HZ = 1000.0, 1500.0  # told apart by anybody, and from a guitar; judged
CLICK_S = 0.03  # of a click: heard as a point; judged
CLICK_PEAK = 0.25  # about 9 dB under the strings
LONGEST_PLAY_S = 4 * 3600.0 - 10.0  # 1.3 GB of WAV


def stream_part(
    part: Part, *, sample_rate_hz: int = PLAY_RATE_HZ, click: bool = False, guitar: str = "steel", seed: int = 0
) -> Iterator[npt.NDArray[np.float32]]:
    """Render a part with the project's strings, block after block.

    Parameters
    ----------
    part : Part
    sample_rate_hz : int
    click : bool
        Whether a click marks the beats, the first of each bar higher.
    guitar : "steel", "nylon" or "electric"
    seed : int
        Same seed, same samples.

    Yields
    ------
    ndarray of float32, shape (n,), mono
        Of no particular scale, see :func:`listen.export.track.lay_tracks`.

    Raises
    ------
    BadValueError
        The part is longer than :data:`LONGEST_PLAY_S`, or a click is asked for and it has no beats.
    """
    from listen.instrument import find_string_table
    from listen.synthesis import Tone, stream_notes

    find_string_table(guitar)  # says which kinds there are
    length_s = part.recording.span.end_s - part.recording.span.start_s + TAIL_S
    if length_s > LONGEST_PLAY_S:
        raise BadValueError(
            f"The part is {length_s / 60:.0f} minutes long; up to {LONGEST_PLAY_S / 60:.0f} can be rendered: read a "
            "shorter stretch of its recording, and play that."
        )
    if click and not part.bars.beats_s:
        raise BadValueError("The part is in free time and has no beats to click; leave the click out.")
    tone = Tone(
        guitar=guitar,  # type: ignore[arg-type]  # checked above
        tuning_offset_cents=part.concert_pitch.offset_cents,
        sample_rate_hz=sample_rate_hz,
        seed=seed,
    )
    plucks = [pluck for pluck in find_plucks(part) if pluck.onset_s < length_s]
    strings = stream_notes(plucks, tone=tone, duration_s=length_s)
    return _add_clicks(strings, part, sample_rate_hz) if click else strings


def render_part(part: Part, *, sample_rate_hz: int = PLAY_RATE_HZ) -> npt.NDArray[np.float32]:
    """Render a short part in one piece.

    Returns
    -------
    ndarray of float32, shape (n,), mono, peak 0.7

    Raises
    ------
    BadValueError
        See :func:`stream_part`.
    """
    import numpy as np

    with keep_track(stream_part(part, sample_rate_hz=sample_rate_hz)) as track:
        return np.concatenate(list(lay_tracks([track])))[:, 0]


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
                onset_s=max(0.0, note.start_s - part.recording.span.start_s),
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


def stream_beside(path: Path, part: Part, *, sample_rate_hz: int = PLAY_RATE_HZ) -> Iterator[npt.NDArray[np.float32]]:
    """Read the stretch of a recording that a part was read from, block after block.

    Yields
    ------
    ndarray of float32, shape (n,), mono

    Raises
    ------
    RecordingError, BadValueError
        The recording cannot be read, or is shorter than the part.
    """
    import numpy as np

    from listen.audio import probe_recording, stream_blocks

    rate_hz = probe_recording(path).sample_rate_hz
    blocks = stream_blocks(path, channel=part.recording.channel, span=part.recording.span)
    if rate_hz == sample_rate_hz:
        yield from blocks
        return
    import soxr

    resampler = soxr.ResampleStream(rate_hz, sample_rate_hz, 1, dtype="float32")
    for block in blocks:
        yield np.asarray(resampler.resample_chunk(block), np.float32)
    yield np.asarray(resampler.resample_chunk(np.zeros(0, np.float32), last=True), np.float32)


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
            onset_s=max(0.0, stroke.span.start_s - part.recording.span.start_s) + 0.003 * place,
            pitch=pitch,
            string=string,
            kind=kinds[string],
            level_db=max(QUIETEST_DB, DAMPED_DB + min(0.0, stroke.level_db)),
            duration_s=0.08,
            mute="dead",
        )
        for place, (string, pitch) in enumerate(order)
    ]


def _add_clicks(
    strings: Iterator[npt.NDArray[np.float32]], part: Part, sample_rate_hz: int
) -> Iterator[npt.NDArray[np.float32]]:
    """Add a click on each beat; clicks are set against the loudest that the strings have been so far."""
    import numpy as np

    time_s = np.arange(round(CLICK_S * sample_rate_hz)) / sample_rate_hz
    envelope = CLICK_PEAK / PEAK * np.exp(-time_s / (CLICK_S / 5.0))
    ticks = {hz: envelope * np.sin(2.0 * np.pi * hz * time_s) for hz in (CLICK_HZ, DOWNBEAT_HZ)}
    near = 0.25 * min((after - before for before, after in pairwise(part.bars.beats_s)), default=1.0)
    downbeats = np.asarray(part.bars.lines_s)
    beats = [beat_s for beat_s in part.bars.beats_s if beat_s >= part.recording.span.start_s]
    with keep_track(strings) as track:
        loudest = track.peak or 1.0
        first = at = 0
        left_over = np.zeros(0, np.float32)
        for block in track.blocks():
            sound = np.zeros(block.size + time_s.size, np.float32)
            sound[: left_over.size] = left_over
            while (
                at < len(beats)
                and (start := round((beats[at] - part.recording.span.start_s) * sample_rate_hz)) < first + block.size
            ):
                is_first = downbeats.size > 0 and float(np.abs(downbeats - beats[at]).min()) < near
                tick = loudest * ticks[DOWNBEAT_HZ if is_first else CLICK_HZ]
                sound[start - first : start - first + tick.size] += tick.astype(np.float32)
                at += 1
            yield block + sound[: block.size]
            left_over = sound[block.size :]
            first += block.size
