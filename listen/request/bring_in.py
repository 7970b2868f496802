"""Bring a recording in: decode it once, hear it, conclude, and write down what was read as it comes.

What is written beside a take's recording: ``sound.flac``, the channel that is listened to, which plays everywhere and
counts time as the reading does; ``curve.bin``, its loudest sample in every :data:`CURVE_STEP_S` as a byte, for drawing;
``read.json`` while it is being read, the part as far as it was heard.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from listen.document import open_whole, render_part_pieces, write_file
from listen.errors import DocumentError, RecordingError
from listen.evidence import PartEvidence
from listen.reading import Part
from listen.request.hearing import HeardRecording, conclude_part, hear_for_part, hear_recording
from listen.request.history import Step
from listen.request.library import Library
from listen.request.part_asked import settle_step
from listen.request.take_kept import Take

LONGEST_S = 3600.0  # what a part is read to: an hour, in flat memory
CURVE_STEP_S = 0.005  # of sound behind one drawn point; judged, not measured
SOUND, CURVE, SO_FAR = "sound.flac", "curve.bin", "read.json"

Tell = Callable[[dict[str, Any]], None]


def bring_in(library: Library, take: Take, tell: Tell) -> None:
    """Read a take.

    Parameters
    ----------
    library : Library
    take : Take
    tell : callable
        Told how far it is: ``{"duration_s": 120.0}``, then ``{"heard_s": 20.0, "n_strokes": 41, "shown": true}``,
        where ``shown`` says that the part so far was written.

    Raises
    ------
    RecordingError
        It cannot be read, or is too long.
    """
    path = library.recording_of(take)
    if path is None:
        raise RecordingError(f"The recording of {take.name} is not here.")
    folder = library.folder_of(take.ident)
    duration_s = prepare_sound(path, folder)
    take = library.note(take.ident, state="reading", duration_s=duration_s)
    tell({"duration_s": duration_s})
    step = library.history(take.ident).now
    due_s = 0.0

    def show(heard: PartEvidence) -> None:
        nonlocal due_s
        until_s, shown = heard.span.end_s, False
        if until_s >= due_s and heard.stretches:
            so_far = HeardRecording(heard.stopped(), take.name, "mix", duration_s)
            write_file(folder / SO_FAR, render_part_pieces(_conclude(so_far, Step())), overwrite=True)
            due_s, shown = 2 * until_s, True  # half of the work at most goes into what is soon replaced
        tell({"heard_s": until_s, "n_strokes": len(heard.strokes), "shown": shown})

    if take.document:  # a part that was read before: only what is heard of it is made ready
        before = library.part(take)
        if before is not None:
            hear_for_part(path, before)
    else:
        heard = replace(hear_recording(path, progress=show), source=take.name)
        library.begin(take, _conclude(heard, step))
    (folder / SO_FAR).unlink(missing_ok=True)
    library.note(take.ident, state="read")


def _conclude(heard: HeardRecording, step: Step) -> Part:
    return conclude_part(heard, settle_step(step))


def prepare_sound(path: Path, folder: Path) -> float:
    """Write what is heard of a recording as a sound that plays everywhere, and its curve; return its length.

    Raises
    ------
    RecordingError
        It cannot be decoded, or is longer than :data:`LONGEST_S`.
    DocumentError
        The sound cannot be written.
    """
    import numpy as np
    import soundfile

    from listen.audio import probe_recording, stream_blocks

    info = probe_recording(path)
    if info.duration_s > LONGEST_S:
        raise RecordingError(
            f"The recording is {info.duration_s / 60:.0f} minutes long; the page reads up to {LONGEST_S / 60:.0f}. "
            "Cut it, or use listen part on the command line."
        )
    rate_hz = info.sample_rate_hz
    step = max(1, round(CURVE_STEP_S * rate_hz))
    n_samples, rest, loudest = 0, np.zeros(0, np.float32), []
    try:
        with (
            open_whole(folder / SOUND, overwrite=True) as stream,
            soundfile.SoundFile(
                stream.fileno(), "w", rate_hz, 1, format="FLAC", subtype="PCM_16", closefd=False
            ) as sound,
        ):
            for block in stream_blocks(path, channel="mix", block_s=5.0):
                sound.write(block)
                n_samples += len(block)
                if n_samples > LONGEST_S * rate_hz:
                    raise RecordingError(f"The recording is longer than {LONGEST_S / 60:.0f} minutes.")
                rest = np.concatenate([rest, np.abs(block)])
                n_whole = len(rest) // step
                loudest.append(rest[: n_whole * step].reshape(n_whole, step).max(axis=1, initial=0.0))
                rest = rest[n_whole * step :]
    except soundfile.LibsndfileError as error:  # what cannot be decoded is a RecordingError by now
        raise DocumentError(f"{folder / SOUND} could not be written; the disk may be full.") from error
    curve = np.concatenate(loudest) if loudest else np.zeros(0)
    top = max(float(curve.max(initial=0.0)), 1e-9)
    write_file(folder / CURVE, np.round(255 * curve / top).astype(np.uint8).tobytes(), overwrite=True)
    return n_samples / rate_hz
