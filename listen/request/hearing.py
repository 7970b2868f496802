"""Parts heard once: what was heard is kept by the content of its recording, and concluded from as often as is asked.

Hearing takes seconds to minutes, concluding a part of a second: whoever corrects a part, on the page or on the command
line, waits for the second only. What is kept lies in the system's folder for caches (``LISTEN_CACHE`` names another),
under the SHA-256 of the recording; the oldest goes when there is too much.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from listen import __version__
from listen.document import (
    content_key,
    find_kept_folder,
    load_kept,
    pack_part_evidence,
    save_kept,
    unpack_part_evidence,
)
from listen.evidence import PartEvidence, TimeSpan
from listen.reading import Part
from listen.request.part_asked import PartAsked
from listen.request.said_of_events import settle_said

if TYPE_CHECKING:
    from listen.transcription import PartSettings

KEPT_FORM = f"{__version__}-11"  # rises when evidence means something else


@dataclass(frozen=True, slots=True, eq=False)
class HeardRecording:
    """What was heard of a recording.

    Parameters
    ----------
    evidence : PartEvidence
    source : str
        Name of the recording.
    channel : str
    duration_s : float
        Of the whole recording.
    is_whole : bool
        Whether all of it was to be heard.
    is_panned : bool
        Whether left and right hold different players.
    cut_off : str
        One sentence where the file holds less sound than it says; else empty.
    """

    evidence: PartEvidence
    source: str
    channel: str
    duration_s: float
    is_whole: bool = True
    is_panned: bool = False
    cut_off: str = ""


def hear_recording(
    path: Path | str,
    *,
    channel: str = "mix",
    span: TimeSpan | None = None,
    progress: Callable[[PartEvidence], None] | None = None,
) -> HeardRecording:
    """Hear a recording, or take what was heard of the same sound before.

    Parameters
    ----------
    path : Path or str
    channel : str
    span : TimeSpan or None
        The stretch to hear; None for all of it.
    progress : callable or None
        Given, now and then, what has been heard so far.

    Raises
    ------
    RecordingError, BadValueError
        The recording cannot be read.
    """
    from listen.audio import FileEnd, are_panned_apart, hear_part, probe_recording, stream_for_strokes  # heavy
    from listen.transcription import are_read_closely

    info = probe_recording(path)
    duration_s = info.duration_s
    start_s, end_s = (0.0, duration_s) if span is None else (span.start_s, min(span.end_s, duration_s))
    folder, kept = find_kept_folder("heard"), f"{content_key(Path(path), f'{KEPT_FORM} {channel} {span}')}.heard"
    packed = load_kept(folder, kept)
    evidence = None if packed is None else unpack_part_evidence(packed)
    if evidence is None:
        end = FileEnd()
        blocks = stream_for_strokes(path, channel=channel, span=span, end=end)
        closely = are_read_closely(end_s - start_s)
        evidence = hear_part(blocks, start_s=start_s, every_stroke=closely, progress=progress)
        evidence = replace(evidence, breaks_off=end.is_broken)
        if evidence.complete:
            save_kept(folder, kept, pack_part_evidence(evidence))
    is_panned = channel == "mix" and are_panned_apart(path, start_s=start_s)
    until_s = None if span is None else span.end_s
    cut_off = info.tell_cut_off(
        evidence.span.end_s, until_s=until_s, is_whole=evidence.complete, is_broken=evidence.breaks_off
    )
    return HeardRecording(evidence, Path(path).name, channel, duration_s, span is None, is_panned, cut_off)


def hear_for_part(path: Path | str, part: Part) -> HeardRecording:
    """Hear what a part was read from: the same channel, and the same stretch where it was not the whole recording."""
    read = part.recording
    is_whole = read.span.start_s <= 0.0 and read.reaches_end
    heard = hear_recording(path, channel=read.channel, span=None if is_whole else read.span)
    return replace(heard, source=read.file)


def conclude_part(heard: HeardRecording, settings: PartSettings) -> Part:
    """Conclude from what was heard, with what is settled."""
    from listen.export import PANNED_APART
    from listen.transcription import read_part_evidence  # heavy

    part = read_part_evidence(heard.evidence, settings=settings, is_whole=heard.is_whole)
    warnings = (*part.warnings, *([PANNED_APART] if heard.is_panned else []), *filter(None, [heard.cut_off]))
    duration_s = max(heard.duration_s, part.recording.span.end_s)
    return replace(
        part,
        warnings=warnings,
        recording=replace(part.recording, file=heard.source, channel=heard.channel, duration_s=duration_s),
    )


def read_kept_part(
    path: Path | str,
    asked: PartAsked,
    settle: Callable[[HeardRecording], PartSettings],
    *,
    channel: str = "mix",
    span: TimeSpan | None = None,
    progress: Callable[[float], None] | None = None,
) -> Part:
    """Read a part as it was asked for; what was heard of the same sound before is not heard again.

    Parameters
    ----------
    path : Path or str
    asked : PartAsked
    settle : callable
        Gives what `asked` and a kept part amount to, for what was heard.
    channel : str
    span : TimeSpan or None
    progress : callable or None
        Told, now and then, up to which second the part has been heard.

    Raises
    ------
    RecordingError, BadValueError
        The recording cannot be read; something is said of an event that there is not.
    """
    tell = None if progress is None else lambda heard: progress(heard.span.end_s)
    heard = hear_recording(path, channel=channel, span=span, progress=tell)
    settings = settle(heard)
    part = conclude_part(heard, settings)
    told = settle_said(asked, part, settings)
    return part if told is settings else conclude_part(heard, told)
