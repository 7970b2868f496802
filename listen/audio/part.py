"""Hear a part of any length in flat memory: blocks of samples in, evidence out.

Twenty seconds are worked on at a time, with a second and a half before and three after them in sight, so that no stroke
is cut.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio.asked_span import MIN_DURATION_S, describe_length
from listen.audio.decode import FileEnd, probe_recording
from listen.audio.ear import load_ear
from listen.audio.part_core import CoreSound, hear_core
from listen.audio.stream import stream_blocks
from listen.audio.stroke_spectra import STROKE_RATE_HZ
from listen.errors import RecordingError
from listen.evidence import PartEvidence, TimeSpan

Samples = NDArray[np.float32]

# heard at once, with what rings in and on, and what the stroke network sees (1.3 s): flat memory; judged
CORE_S, BEFORE_S, AFTER_S = 20.0, 1.5, 3.0
EAR = "trained"  # hears up to a cut: in a part the next stroke comes soon
SILENT_DB = -120.0  # against full scale


def stream_for_strokes(
    path: Path | str, *, channel: str = "mix", span: TimeSpan | None = None, end: FileEnd | None = None
) -> Iterator[Samples]:
    """Read a recording block by block at the rate that strokes are found at; `end` learns whether it breaks off.

    Raises
    ------
    RecordingError
        It cannot be read, or lasts less than a strum does.
    """
    import soxr

    rate_hz = probe_recording(path).sample_rate_hz
    stream = soxr.ResampleStream(rate_hz, STROKE_RATE_HZ, 1, dtype="float32")
    is_first = True
    for block in stream_blocks(path, channel=channel, block_s=10.0, span=span, end=end):
        if is_first and len(block) < MIN_DURATION_S * rate_hz:
            raise RecordingError(describe_length(Path(path), len(block) / rate_hz, span))
        is_first = False
        yield np.asarray(stream.resample_chunk(block), np.float32)
    yield np.asarray(stream.resample_chunk(np.zeros(0, np.float32), last=True), np.float32)


def hear_part(
    blocks: Iterable[Samples],
    *,
    start_s: float = 0.0,
    every_stroke: bool = True,
    progress: Callable[[PartEvidence], None] | None = None,
) -> PartEvidence:
    """Hear a part.

    Parameters
    ----------
    blocks : iterable of ndarray, shape (n,), mono, at :data:`~listen.audio.STROKE_RATE_HZ`
    start_s : float
        Where the first block lies in the recording.
    every_stroke : bool
        Whether each stroke of fast strumming is listened to, where chords are easily missed, and not only one in a
        stretch of like ones: four times the work.
    progress : callable or None
        Given, now and then, what has been heard so far.

    Returns
    -------
    PartEvidence
        When interrupted from the keyboard: what was heard until then, with ``complete`` false.
    """
    ear = load_ear(EAR)
    heard = PartEvidence(TimeSpan(start_s, start_s))
    loudest_db = SILENT_DB
    kept = np.zeros(0, np.float32)
    kept_from_s, core_s = start_s, start_s

    def hear(until_s: float) -> tuple[PartEvidence, float]:
        in_sight = kept[: max(0, round((until_s + AFTER_S - kept_from_s) * STROKE_RATE_HZ))]
        sound = CoreSound(in_sight, kept_from_s, TimeSpan(core_s, until_s))
        return hear_core(heard, sound, ear, loudest_db=loudest_db, every_stroke=every_stroke)

    try:
        for block in blocks:
            kept = np.concatenate([kept, block])
            while len(kept) >= (core_s - kept_from_s + CORE_S + AFTER_S) * STROKE_RATE_HZ:
                heard, loudest_db = hear(core_s + CORE_S)
                core_s += CORE_S
                drop = max(0, round((core_s - BEFORE_S - kept_from_s) * STROKE_RATE_HZ))
                kept, kept_from_s = kept[drop:], kept_from_s + drop / STROKE_RATE_HZ
                if progress is not None:
                    progress(heard)
        end_s = kept_from_s + len(kept) / STROKE_RATE_HZ
        if end_s > core_s:
            heard, _ = hear(end_s)
    except KeyboardInterrupt:
        return heard.stopped()
    return heard
